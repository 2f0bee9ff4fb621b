"""A first heat through the whole job: from the demo's recording and from plans of the book."""

from dataclasses import replace
from pathlib import Path
from time import process_time

import pytest

from tests.checks.first_heat.demo import demo_recording
from tests.checks.first_heat.played import Played
from tests.jobs.engines import engine
from witnessmark.checks.first_heat.find import find_heat
from witnessmark.checks.terms import Terms
from witnessmark.errors import UserError
from witnessmark.jobs.build import load_build
from witnessmark.jobs.first_heat import first_heat
from witnessmark.jobs.plan import make_plan
from witnessmark.logs.read import read_log
from witnessmark.model.finding import Answer
from witnessmark.model.first_heat import Done, Ended

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def plan():
    return make_plan(load_build(DEMO / "heron.toml"), films=False)


@pytest.fixture(scope="module")
def demo(plan, tmp_path_factory):
    path = demo_recording(tmp_path_factory.mktemp("heat") / "first-heat.csv")
    return first_heat(plan, read_log(path))


def test_the_demo_shows_every_step_and_its_one_stall(demo):
    # What the demo says it does: all but the last pass of the sweep, one stall in the hold.
    *before, swept, stopped = demo.steps
    assert {found.done for found in (*before, stopped)} == {Done.DONE}
    assert swept.done is Done.PARTLY
    (stall,) = demo.interruptions
    assert stall.how is Ended.STALL
    assert demo.swapped == ()


def test_the_demo_breaks_nothing_and_lacks_only_the_sweep(demo):
    answers = {f.check: f.answer for f in demo.review.verdict.findings}
    assert answers["shown.sweep"] is Answer.TOO_LITTLE
    assert answers["shown.hold"] is Answer.KEPT
    assert answers["start.prime"] is Answer.KEPT
    assert Answer.BROKEN not in answers.values()
    assert demo.review.verdict.answer is Answer.TOO_LITTLE


def test_a_plan_without_a_first_heat_in_the_bay_says_what_to_use(plan):
    other = replace(plan, phases=tuple(p for p in plan.phases if p.id != "first-heat"))
    with pytest.raises(UserError, match="no first heat in the bay"):
        first_heat(other, Played().go(2000, 60).log())


def test_a_flat_tappet_cam_run_slow_is_broken():
    made = make_plan(engine("road", "natural", "flat tappet"), films=False)
    played = Played(4).go(0, 5).go(220, 2).go(2000, 120).go(1200, 40).go(2000, 60).go(0, 5)
    found = first_heat(made, played.log())
    (slow,) = [f for f in found.review.verdict.findings if f.check == "speed.slow"]
    assert slow.answer is Answer.BROKEN
    assert slow.events[0].span.length == pytest.approx(40, abs=0.3)


def test_a_long_fast_log_is_searched_quickly(plan):
    # 100 readings a second for 25 minutes: 150,000 rows.
    log = Played(100).go(0, 5).go(220, 2).go(2000, 300).ladder(2000, 4500, 500, 60, 2).log(40)
    terms = Terms(plan.phase("first-heat"), plan.limits)
    start = process_time()
    find_heat(log, terms)
    assert process_time() - start < 1.0  # 0.06 s measured; seventeen times that is a change of kind
