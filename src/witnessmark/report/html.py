"""Plan and verdict as one HTML file each: no script, nothing fetched, fit for phone and printer."""

from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from witnessmark.jobs.review import Review
from witnessmark.model.plan import RunPlan
from witnessmark.report.charts import charts
from witnessmark.report.marks import INK, mark_svg
from witnessmark.report.plan_view import plan_view
from witnessmark.report.verdict_view import verdict_view
from witnessmark.report.words import unbroken
from witnessmark.units import Preferences

_NOTHING = Markup("")


@dataclass(frozen=True)
class Frame:
    """What a face puts around a report, as markup it vouches for; nothing if it stands alone."""

    head: Markup = _NOTHING  # into the page's head
    above: Markup = _NOTHING  # before the report's own heading
    below: Markup = _NOTHING  # after its last section
    after_heading: Markup = _NOTHING  # between its heading and its first section


_ALONE = Frame()


def templates(package: str) -> Environment:
    """The templates of a package: everything escaped, a name nobody gave is our fault."""
    return Environment(
        loader=PackageLoader(package),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _environment() -> Environment:
    environment = templates("witnessmark.report")
    environment.globals["ink"] = INK
    environment.globals["mark"] = lambda answer: Markup(mark_svg(answer))
    return environment


def style() -> str:
    """The style sheet of both pages, for a face whose other pages are to look like them."""
    return _environment().get_template("style.css").render()


def plan_html(
    plan: RunPlan, prefer: Preferences | None = None, sha256: str = "", frame: Frame = _ALONE
) -> str:
    """The plan as a page of its own.

    `prefer` : the reader's units; the plan's own if None.
    `sha256` : hash of the frozen plan, "" when it has not been frozen.
    """
    view = unbroken(plan_view(plan, prefer, sha256))
    return _environment().get_template("plan.html.j2").render(view=view, frame=frame)


def verdict_html(review: Review, prefer: Preferences | None = None, frame: Frame = _ALONE) -> str:
    """The review as a page of its own, its charts inside. `prefer` as in `plan_html`."""
    view = unbroken(verdict_view(review, prefer))
    pictures = [
        # Our own drawing code made these; no text of the user's enters them unescaped.
        {"chart": c, "wide": Markup(c.wide), "narrow": Markup(c.narrow)}
        for c in charts(review, prefer)
    ]
    return (
        _environment()
        .get_template("verdict.html.j2")
        .render(view=view, pictures=pictures, frame=frame)
    )
