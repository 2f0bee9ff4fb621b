"""Plan and verdict as A4 PDF.

What users wrote goes to the page as data, never as markup. Only letters that come with our own
packages are used, so the same input gives the same bytes on every machine.
"""

import json
from dataclasses import asdict
from datetime import date
from functools import cache
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import typst

from witnessmark.jobs.review import Review
from witnessmark.model.plan import RunPlan
from witnessmark.report.charts import charts
from witnessmark.report.marks import INK, mark_svg
from witnessmark.report.plan.view import plan_view
from witnessmark.report.verdict.view import verdict_view
from witnessmark.report.words import unbroken
from witnessmark.units import Preferences


def plan_pdf(
    plan: RunPlan,
    prefer: Preferences | None = None,
    sha256: str = "",
    dated: date | None = None,
) -> bytes:
    """The job card.

    `prefer` : the reader's units; the plan's own if None.
    `sha256` : hash of the frozen plan, "" when it has not been frozen.
    `dated` : date written into the file's properties (the day the plan was frozen); none if None.
    """
    view = unbroken(plan_view(plan, prefer, sha256))
    return _compile("plan.typ", {"view": asdict(view), "dated": _date(dated)})


def verdict_pdf(
    review: Review, prefer: Preferences | None = None, dated: date | None = None
) -> bytes:
    """The review with its charts, dated by the log's own start unless told otherwise."""
    view = unbroken(verdict_view(review, prefer))
    pictures = [
        {"title": c.title, "svg": c.wide, "alt": c.alt, "caption": c.caption}
        for c in charts(review, prefer, narrow=False)
    ]
    started = review.log.started.date() if review.log.started else None
    data = {"view": asdict(view), "charts": pictures, "dated": _date(dated or started)}
    return _compile("verdict.typ", data)


def _date(day: date | None) -> dict[str, int] | None:
    return None if day is None else {"year": day.year, "month": day.month, "day": day.day}


@cache
def _source(template: str) -> bytes:
    folder = files("witnessmark.report") / "templates"
    return b"\n".join((folder / name).read_bytes() for name in ("base.typ", template))


@cache
def _fonts() -> typst.Fonts:
    # matplotlib brings the letters the charts are drawn with; the text beside them uses the same.
    found = find_spec("matplotlib")
    assert found is not None
    assert found.origin is not None
    folder = Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"
    return typst.Fonts(include_system_fonts=False, font_paths=[folder])


def _compile(template: str, data: dict[str, Any]) -> bytes:
    inputs = {
        "data": json.dumps(data, ensure_ascii=False),
        "marks": json.dumps({answer: mark_svg(answer) for answer in INK}),
        "ink": json.dumps(INK),
    }
    return typst.compile(
        _source(template),
        sys_inputs=inputs,
        font_paths=_fonts(),
        ignore_system_fonts=True,
        format="pdf",
        pdf_standards="ua-1",  # tagged for screen readers (ISO 14289-1)
    )
