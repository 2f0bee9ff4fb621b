"""The demo engine's own card: nothing lost, the abort list on one page, no sideways scroll."""

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.report.test_renderings import html_text, letters
from witnessmark.jobs.build import load_build
from witnessmark.jobs.plan import make_plan
from witnessmark.report.html import plan_html, verdict_html
from witnessmark.report.pdf import plan_pdf
from witnessmark.report.plan.view import plan_view

CHROMIUM = shutil.which("chromium")


@pytest.fixture(scope="module")
def heron(request):
    return make_plan(load_build(request.config.rootpath / "demo" / "heron.toml"))


@pytest.fixture(scope="module")
def pages(heron, tmp_path_factory):
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (poppler-utils) is not installed")
    path: Path = tmp_path_factory.mktemp("card") / "card.pdf"
    path.write_bytes(plan_pdf(heron))
    run = subprocess.run(
        ["pdftotext", "-raw", str(path), "-"], capture_output=True, check=True, text=True
    )
    return [letters(page) for page in run.stdout.split("\f")[:-1]]


def test_every_note_of_the_demo_is_on_paper_and_on_screen(heron, pages):
    screen, paper = html_text(plan_html(heron)), "".join(pages)
    view = plan_view(heron)
    for note in (*view.notes, *(limit.note for limit in view.limits)):
        for text in (note.why, note.who):
            assert letters(text) in screen
    # Columns and pages may cut a note in two on paper: look for its first words.
    for note in view.notes:
        assert letters(note.why)[:20] in paper


def test_the_abort_list_is_whole_on_one_page(heron, pages):
    (page,) = [p for p in pages if p.startswith("Shutoffatonceif")]
    for abort in plan_view(heron).aborts:
        assert letters(abort.text)[:20] in page


def test_every_page_names_engine_recipe_and_its_number(heron, pages):
    for number, page in enumerate(pages, 1):
        assert page.endswith(f"page{number}of{len(pages)}")
        assert heron.serial in page
        assert heron.choice.sha256[:12] in page


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="chromium is not installed")
def test_no_page_scrolls_sideways_on_a_phone(heron, review, tmp_path):
    sync_playwright = pytest.importorskip("playwright.sync_api").sync_playwright
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 360, "height": 800})
        for name, text in (("plan", plan_html(heron)), ("verdict", verdict_html(review))):
            path = tmp_path / f"{name}.html"
            path.write_text(text, encoding="utf-8")
            page.goto(path.as_uri())
            assert page.evaluate("document.documentElement.scrollWidth") == 360
        browser.close()
