"""Readable by everybody: contrast, order of headings, headed tables, a language."""

import re
from html.parser import HTMLParser

import pytest

from witnessmark.report import drawing
from witnessmark.report.html import plan_html, verdict_html
from witnessmark.report.marks import INK, mark_svg

STYLE_INKS = {
    "ink": "#16202a",
    "soft": "#4a525c",
    "petrol": "#0f4c5c",
    "stop": "#8f1d14",
}
PAPERS = ("#ffffff", "#f1f4f5", "#faf3f2")


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (from linear sRGB)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_against_its_definition():
    # WCAG 2.2, definition of contrast ratio: black on white is 21:1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("ink", [*INK.values(), *STYLE_INKS.values(), drawing.FAINT,
                                 drawing.LINE, drawing.SECOND, drawing.BROKEN])  # fmt: skip
def test_letters_have_contrast(ink, paper):
    # WCAG 2.2, success criterion 1.4.3 (AA): 4.5:1 for text.
    assert contrast(ink, paper) >= 4.5


def test_the_inks_checked_are_those_of_the_page(plan):
    page = plan_html(plan)
    for name, colour in STYLE_INKS.items():
        assert f"--{name}: {colour};" in page
    used = set(re.findall(r"(?<![\w-])color:\s*(#[0-9a-f]{3,6})", page))
    assert used <= {"#fff"}


def test_marks_differ_in_shape_not_only_in_ink():
    shapes = {re.sub(r"#[0-9a-f]{6}", "ink", mark_svg(answer)) for answer in INK}
    assert len(shapes) == 4


class Outline(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.levels: list[int] = []
        self.lang = ""
        self.cells: list[tuple[str, str]] = []
        self.links: list[str] = []
        self.unnamed: list[str] = []
        self.svgs = 0

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        if tag == "html":
            self.lang = found.get("lang", "")
        if re.fullmatch(r"h[1-6]", tag):
            self.levels.append(int(tag[1]))
        if tag == "th":
            self.cells.append((tag, found.get("scope", "")))
        self.links += [found[k] for k in ("href", "src") if found.get(k)]
        if found.get("role") == "img" and not found.get("aria-label"):
            self.unnamed.append(tag)


@pytest.mark.parametrize("which", ["plan", "verdict"])
def test_page_outline(which, plan, review):
    outline = Outline()
    outline.feed(plan_html(plan) if which == "plan" else verdict_html(review))
    assert outline.lang == "en"
    assert outline.levels[0] == 1
    assert outline.levels.count(1) == 1
    assert all(b - a <= 1 for a, b in zip(outline.levels, outline.levels[1:], strict=False))
    assert {scope for _, scope in outline.cells} == {"col", "row"}
    assert outline.unnamed == []
    assert all(link.startswith("#") for link in outline.links)


def test_links_to_notes_have_a_target(plan):
    page = plan_html(plan)
    wanted = set(re.findall(r'href="#(note-\d+)"', page))
    assert wanted <= set(re.findall(r'id="(note-\d+)"', page))
    assert wanted
