"""Plan and verdict as one HTML file each: no script, nothing fetched, fit for phone and printer."""

from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from witnessmark.jobs.band import EngineBand, Reading
from witnessmark.jobs.calibration_drawn import CalibrationDrawn
from witnessmark.jobs.film import EngineFilm
from witnessmark.jobs.first_heat import FirstHeat
from witnessmark.jobs.review import Review
from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration
from witnessmark.model.drift import Drift
from witnessmark.model.plan import RunPlan
from witnessmark.model.pressure_band import Judged
from witnessmark.report.band.chart import band_chart
from witnessmark.report.band.view import answer_view, band_view
from witnessmark.report.calibration.chart import calibration_charts
from witnessmark.report.calibration.view import calibration_view
from witnessmark.report.charts import charts
from witnessmark.report.drift.chart import drift_chart
from witnessmark.report.drift.view import drift_view
from witnessmark.report.film.chart import film_chart
from witnessmark.report.film.view import SIGNS, film_view
from witnessmark.report.marks import INK, mark_svg
from witnessmark.report.phases.chart import phases_chart
from witnessmark.report.phases.view import phases_view
from witnessmark.report.plan.view import plan_view
from witnessmark.report.verdict.view import verdict_view
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


def page_of(template: str, **values: object) -> str:
    """A page of its own from a template of this package, nothing around it."""
    return _environment().get_template(template).render(frame=_ALONE, **values)


def framed_page(template: str, frame: Frame, **values: object) -> str:
    """A page from a template of this package, with what a face puts around it."""
    return _environment().get_template(template).render(frame=frame, **values)


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


def band_html(
    made: EngineBand,
    prefer: Preferences | None = None,
    reading: Reading | None = None,
    judged: Judged | None = None,
    frame: Frame = _ALONE,
) -> str:
    """The pressure band as a page of its own, with a reading's answer on top if there is one."""
    chosen = prefer or made.prefer
    chart = band_chart(made, chosen, reading=reading)
    answer = unbroken(answer_view(judged, chosen)) if judged else None
    return (
        _environment()
        .get_template("band.html.j2")
        .render(
            view=unbroken(band_view(made, chosen)), answer=answer, frame=frame, chart=chart,
            wide=Markup(chart.wide), narrow=Markup(chart.narrow),
        )
    )  # fmt: skip


def film_html(made: EngineFilm, prefer: Preferences | None = None, frame: Frame = _ALONE) -> str:
    """The map of films as a page of its own. `prefer` as in `plan_html`."""
    chosen = prefer or made.prefer
    chart = film_chart(made, chosen)
    return (
        _environment()
        .get_template("film.html.j2")
        .render(
            view=unbroken(film_view(made, chosen)), frame=frame, chart=chart, signs=SIGNS,
            wide=Markup(chart.wide), narrow=Markup(chart.narrow),
        )
    )  # fmt: skip


def calibration_html(
    learned: Calibration, sheet: BuildSheet, shown: CalibrationDrawn,
    prefer: Preferences | None = None, frame: Frame = _ALONE,
) -> str:  # fmt: skip
    """A calibration as a page of its own, with what the gauge showed beside what the fit says."""
    chosen = prefer or sheet.prefer
    view = unbroken(calibration_view(learned, sheet, chosen))
    pictures = [
        {"chart": c, "wide": Markup(c.wide), "narrow": Markup(c.narrow)}
        for c in calibration_charts(shown, chosen)
    ]
    return (
        _environment()
        .get_template("calibration.html.j2")
        .render(view=view, pictures=pictures, frame=frame)
    )


def drift_html(
    found: Drift, sheet: BuildSheet, prefer: Preferences | None = None, frame: Frame = _ALONE
) -> str:
    """Drift from log to log as a page of its own."""
    chart = drift_chart(found, sheet)
    return (
        _environment()
        .get_template("drift.html.j2")
        .render(
            view=unbroken(drift_view(found, sheet, prefer)), frame=frame, chart=chart,
            wide=Markup(chart.wide), narrow=Markup(chart.narrow),
        )
    )  # fmt: skip


def phases_html(found: FirstHeat, prefer: Preferences | None = None, frame: Frame = _ALONE) -> str:
    """A first heat beside its plan as a page of its own. `prefer` as in `plan_html`."""
    chosen = prefer or found.review.plan.prefer
    chart = phases_chart(found, chosen)
    return (
        _environment()
        .get_template("phases.html.j2")
        .render(
            view=unbroken(phases_view(found, chosen)), frame=frame, chart=chart,
            wide=Markup(chart.wide), narrow=Markup(chart.narrow),
        )
    )  # fmt: skip
