"""What users write is text, on every page: no markup, no code, no escape codes."""

from dataclasses import replace

import pytest

from tests.report.test_renderings import html_text, letters, pdf_text, terminal_text
from witnessmark.model.channel import Column, How
from witnessmark.report.html import plan_html, verdict_html
from witnessmark.report.pdf import plan_pdf, verdict_pdf
from witnessmark.report.plan.terminal import plan_terminal
from witnessmark.report.verdict.terminal import verdict_terminal
from witnessmark.report.words import printable

HOSTILE = [
    '#read("/etc/passwd")',
    "*bold* _it_ $x^2$ @ref <label> \\u{41} // gone",
    "<script>alert(1)</script>",
    "\"><img src=x onerror='alert(1)'>",
    "{{ view.serial }} {% raw %}",
    "[red]x[/red] [bold",
    "漢字 Ж",
]


def named(review, name):
    column = Column(name, name, None, "", How.UNKNOWN, name, 1.0)
    source = replace(review.log.source, name=name)
    # No channels, no charts: nobody's words stand in them, and they take the time.
    log = replace(review.log, source=source, columns=(column,), channels={})
    plan = replace(review.plan, serial=name, engine=name)
    return replace(review, plan=plan, log=log, load_map=None)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text(review, name, tmp_path):
    bad = named(review, name)
    for text in (
        html_text(plan_html(bad.plan)),
        html_text(verdict_html(bad)),
        letters(terminal_text(plan_terminal(bad.plan), 300)),
        letters(terminal_text(verdict_terminal(bad), 300)),
        pdf_text(plan_pdf(bad.plan), tmp_path),
        pdf_text(verdict_pdf(bad), tmp_path),
    ):
        assert letters(name) in text


@pytest.mark.parametrize("name", HOSTILE)
def test_no_script_and_no_attribute_is_born(review, name):
    bad = named(review, name)
    for page in (plan_html(bad.plan), verdict_html(bad)):
        assert "<script" not in page
        assert "<img" not in page


def test_escape_codes_and_turned_letters_do_not_reach_any_page(review, tmp_path):
    bad = named(review, "\x1b]0;gone\x07\x1b[2J a\u202egnp.csv \udcff\x00")
    pages = (
        verdict_html(bad),
        terminal_text(verdict_terminal(bad)),
        pdf_text(verdict_pdf(bad), tmp_path),
    )
    for page in pages:
        assert not set(page) & {"\x1b", "\x07", "\x00", "\u202e", "\udcff"}
        assert "gnp.csv" in page


def test_cleaning_leaves_honest_text_alone():
    honest = "Größe 52 µm, 5 °C · naïve – “done” 漢字 👩‍🔧"
    assert printable(honest) == honest
    assert printable("a\tb\nc") == "a b c"


def test_a_name_without_a_space_does_not_leave_the_paper(review, tmp_path):
    bad = named(review, "engine_" * 40)
    assert letters("engine_" * 40) in pdf_text(verdict_pdf(bad), tmp_path)
