"""Nothing gets lost between the view and the page, in any of the four outputs."""

import json
import re
import shutil
import subprocess
from functools import cache
from html import unescape

import jsonschema
import pytest
from rich.console import Console

from witnessmark.report.html import plan_html, verdict_html
from witnessmark.report.pdf import plan_pdf, verdict_pdf
from witnessmark.report.plan.terminal import plan_terminal
from witnessmark.report.plan.view import plan_view
from witnessmark.report.verdict.data import verdict_json, verdict_schema
from witnessmark.report.verdict.terminal import verdict_terminal
from witnessmark.report.verdict.view import verdict_view

HASH = "ab" * 32


def letters(text: str) -> str:
    """Text without blanks, frames and break marks: pages wrap lines as they like."""
    return re.sub(r"[\s\u200b│┃║|]", "", text)


def html_text(page: str) -> str:
    body = re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
    return letters(unescape(re.sub(r"<[^>]+>", "", body)))


def pdf_text(pdf: bytes, tmp_path) -> str:
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (poppler-utils) is not installed")
    path = tmp_path / "page.pdf"
    path.write_bytes(pdf)
    # In reading order of the file: by place on the page, columns would run into each other.
    run = subprocess.run(
        ["pdftotext", "-raw", str(path), "-"], capture_output=True, check=True, text=True
    )
    return letters(run.stdout)


def terminal_text(renderable, width=80) -> str:
    console = Console(width=width, file=None, record=True, quiet=False, force_terminal=False)
    with console.capture() as shown:
        console.print(renderable)
    return shown.get()


@pytest.fixture(scope="module")
def made(plan, review):
    """Each page of the plan and the verdict, made at its first asking and kept."""
    make = {
        "plan.html": lambda: plan_html(plan, sha256=HASH),
        "plan.pdf": lambda: plan_pdf(plan, sha256=HASH),
        "verdict.html": lambda: verdict_html(review),
        "verdict.pdf": lambda: verdict_pdf(review),
    }
    return cache(lambda name: make[name]())


@pytest.fixture(scope="module", params=["html", "terminal", "pdf"])
def plan_text(request, plan, made, tmp_path_factory):
    tmp_path = tmp_path_factory.mktemp("plan")
    make = {
        "html": lambda: html_text(made("plan.html")),
        "terminal": lambda: letters(terminal_text(plan_terminal(plan, sha256=HASH), 400)),
        "pdf": lambda: pdf_text(made("plan.pdf"), tmp_path),
    }
    return make[request.param]()


@pytest.fixture(scope="module", params=["html", "terminal", "pdf"])
def verdict_text(request, review, made, tmp_path_factory):
    tmp_path = tmp_path_factory.mktemp("verdict")
    make = {
        "html": lambda: html_text(made("verdict.html")),
        "terminal": lambda: letters(terminal_text(verdict_terminal(review), 400)),
        "pdf": lambda: pdf_text(made("verdict.pdf"), tmp_path),
    }
    return make[request.param]()


def test_every_why_and_who_is_in_the_plan(plan_text, plan):
    notes = plan_view(plan).notes
    assert len(notes) > 30
    for note in notes:
        assert letters(note.why) in plan_text
        assert letters(note.who) in plan_text


def test_every_line_is_in_the_plan(plan_text, plan):
    view = plan_view(plan)
    said = [line.text for line in (*view.fuel, *view.oil, *view.prime, *view.cautions)]
    said += [text for a in view.aborts for text in (a.text, a.then)]
    for place in view.inspections:
        said += [text for i in place.items for text in (i.text, i.if_wrong)]
    for phase in view.phases:
        said += [phase.title, *phase.needs]
        said += [x.text for x in (*phase.gates, *phase.cautions, *phase.steps, *phase.then)]
        said += [n.value for n in (*phase.ceilings, *phase.evidence)]
        said += [n.spread for s in phase.steps for n in s.numbers]
    said += [text for s in view.services for text in (s.title, s.text, *(d.value for d in s.due))]
    said += [text for a in view.assumptions for text in (a.text, a.why)]
    for text in said:
        assert letters(text).lower() in plan_text.lower()


def test_a_hard_stop_is_marked_in_words_once_for_each(plan_text):
    assert plan_text.count("HARDSTOP") == 1


def test_the_caution_of_a_phase_stands_with_its_first_step(plan_text):
    caution = plan_text.index(letters("Carbon monoxide kills"))
    heading = plan_text.upper().index("PHASE1:")
    assert heading < caution < plan_text.index(letters("Fire it for 30 s"))


def test_hashes_are_on_the_plan(plan_text, plan):
    assert HASH[:12] in plan_text
    assert plan.choice.sha256[:12] in plan_text


def test_every_finding_is_in_the_verdict(verdict_text, review):
    for f in verdict_view(review).findings:
        for text in (f.title, f.answer, f.found, f.who, f.do_next):
            assert letters(text) in verdict_text
        for moment in f.moments:
            assert letters(moment.said) in verdict_text


def test_headline_reading_and_file_hash_are_in_the_verdict(verdict_text, review):
    view = verdict_view(review)
    assert letters(view.headline) in verdict_text
    assert review.log.source.sha256 in verdict_text
    for column in view.columns:
        for text in (column.name, column.taken_for, column.how, column.why):
            assert letters(text) in verdict_text
    for note in view.notes:
        assert letters(note.said) in verdict_text
    assert letters(view.school_why) in verdict_text


def test_terminal_fits_80_columns_and_knows_plain_letters(plan, review):
    for renderable in (plan_terminal(plan), verdict_terminal(review)):
        lines = terminal_text(renderable).splitlines()
        assert max(map(len, lines)) <= 80
        assert not any("…" in line for line in lines)


def test_json_keeps_to_its_schema_and_holds_every_finding(review):
    data = verdict_json(review)
    json.dumps(data, allow_nan=False)
    jsonschema.Draft202012Validator.check_schema(verdict_schema())
    jsonschema.validate(data, verdict_schema())
    assert {f["check"] for f in data["findings"]} == {f.check for f in review.verdict.findings}
    speed = next(f for f in data["findings"] if f["check"] == "speed.ceiling")
    worst = speed["said"]["values"]["worst"]
    assert worst == {"value": 4310 / 60, "unit": "turn/s", "kind": "rotational speed"}


def test_json_schema_refuses_an_answer_that_is_not_one_of_the_four(review):
    data = verdict_json(review)
    data["answer"] = "ok"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, verdict_schema())


def test_every_key_of_the_json_is_in_its_page(request):
    page = (request.config.rootpath / "docs/reference/verdict-json.md").read_text("utf-8")
    keys: set[str] = set()

    def collect(schema):
        if isinstance(schema, dict):
            keys.update(schema.get("properties", {}))
            for part in schema.values():
                collect(part)
        if isinstance(schema, list):
            for part in schema:
                collect(part)

    collect(verdict_schema())
    assert {key for key in keys if f"`{key}`" not in page and f'"{key}"' not in page} == set()


def test_the_same_input_gives_the_same_bytes(plan, review, made):
    assert plan_pdf(plan, sha256=HASH) == made("plan.pdf")
    assert plan_html(plan, sha256=HASH) == made("plan.html")
    assert verdict_pdf(review) == made("verdict.pdf")
    assert verdict_html(review) == made("verdict.html")
