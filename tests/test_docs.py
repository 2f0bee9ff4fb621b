"""The documentation keeps together: links lead somewhere, pages are reachable, README is short."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGES = sorted([*(ROOT / "docs").rglob("*.md"), ROOT / "README.md", ROOT / "CHANGELOG.md"])
LINK = re.compile(r"\]\((?!https?:|#)([^)#]+)")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_leads_somewhere(page):
    broken = [link for link in LINK.findall(page.read_text()) if not (page.parent / link).exists()]
    assert broken == []


def test_every_page_but_the_decisions_is_listed():
    index = ROOT / "docs" / "README.md"
    listed = {(index.parent / link).resolve() for link in LINK.findall(index.read_text())}
    kinds = ("tutorial", "how-to", "reference", "explanation")
    pages = {p.resolve() for kind in kinds for p in (ROOT / "docs" / kind).glob("*.md")}
    assert pages - listed == set()


def test_decisions_are_numbered_without_a_gap():
    numbers = [int(p.name[:4]) for p in sorted((ROOT / "docs" / "decisions").glob("*.md"))]
    assert numbers == list(range(1, len(numbers) + 1))


def test_the_readme_names_the_job_first_and_the_two_commands():
    lines = (ROOT / "README.md").read_text().splitlines()
    assert len(lines) < 45
    assert lines[2].startswith("A freshly built engine")
    assert "make demo" in "\n".join(lines)
    assert "make test" in "\n".join(lines)
