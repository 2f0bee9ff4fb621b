"""The whole review on the real book, and the book's numbers against the code that uses them."""

import re
from pathlib import Path

import numpy as np
import pytest

import witnessmark.checks
from tests.made import KPA, RPM, celsius, make_log
from witnessmark.errors import UserError
from witnessmark.jobs.build import load_build
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import CHANNELS, CHECKS, review
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.finding import Answer

ROOT = Path(__file__).parents[2]
CODE = "".join(
    path.read_text() for path in sorted(Path(witnessmark.checks.__path__[0]).rglob("*.py"))
)


@pytest.fixture(scope="module")
def plan():
    return make_plan(load_build(ROOT / "demo" / "heron.toml"))


def short_drive(seconds: int = 30):
    n = seconds * 10
    return make_log({
        "engine_speed": np.full(n, 2500.0) * RPM,
        "manifold_pressure": np.full(n, 60.0) * KPA,
        "coolant_temperature": celsius(np.full(n, 85.0)),
    })  # fmt: skip


def test_every_judging_number_is_used_and_every_one_used_is_in_the_book(plan):
    used = set(re.findall(r"""(?:terms|limits)\[\s*"([a-z0-9_]+)"\s*[\]\s]""", CODE))
    quoted = set(re.findall(r'"([a-z0-9_]+)"', CODE))
    assert used <= set(plan.limits)
    assert set(plan.limits) <= quoted


def test_every_ceiling_and_every_evidence_of_a_judged_phase_is_checked(plan):
    quoted = set(re.findall(r'"([a-z0-9_]+)"', CODE))
    for phase in plan.phases:
        if phase.reviewed:
            assert {*phase.ceilings, *phase.evidence} <= quoted


def test_every_check_has_a_place_in_the_reference(plan):
    page = (ROOT / "docs" / "reference" / "checks.md").read_text()
    names = {
        finding.check
        for phase in plan.phases
        if phase.reviewed
        for finding in review(plan, phase.id, short_drive()).verdict.findings
    }
    assert {name for name in names if f"`{name}`" not in page} == set()
    # The first table: what is judged in a first heat alone stands in a table of its own.
    table = page.partition("\n\n|")[2].partition("\n\n")[0]
    assert len(CHECKS) == len(re.findall(r"^\| `", table, re.MULTILINE))


def test_the_gravest_required_line_decides(plan):
    verdict = review(plan, "first-50-miles", short_drive()).verdict
    assert verdict.answer is Answer.TOO_LITTLE
    oil = [f for f in verdict.findings if f.check == "oil.floor"]
    assert [(f.answer, f.required) for f in oil] == [(Answer.NOT_SHOWN, False)]


def test_a_missing_channel_the_phase_needs_outweighs_too_little(plan):
    log = short_drive()
    bare = make_log({"engine_speed": log["engine_speed"]})
    assert review(plan, "first-50-miles", bare).verdict.answer is Answer.NOT_SHOWN


def test_a_phase_no_log_can_judge_lists_those_it_can(plan):
    with pytest.raises(UserError, match="first-heat, first-50-miles"):
        review(plan, "tuning", short_drive())


def test_a_log_without_engine_speed_says_what_it_has(plan):
    log = make_log({"coolant_temperature": celsius(np.full(10, 80.0))})
    with pytest.raises(UserError, match="it shows coolant_temperature"):
        review(plan, "first-50-miles", log)


def test_an_engine_that_never_runs_is_no_drive(plan):
    with pytest.raises(UserError, match="never runs"):
        review(plan, "first-50-miles", make_log({"engine_speed": np.zeros(50)}))


def test_the_channels_read_for_a_review_are_those_the_checks_look_at():
    quoted = set(re.findall(r'"([a-z0-9_]+)"', CODE))
    assert set(CHANNELS) == quoted & set(vocabulary().entries)
