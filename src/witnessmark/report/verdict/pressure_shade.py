"""This engine's pressure band behind the trace of its gauge, and the rule of thumb beside it."""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from witnessmark.checks.case import Case
from witnessmark.checks.pressure.rule_of_thumb import floor_pressure
from witnessmark.checks.terms import Terms
from witnessmark.jobs.review import Review
from witnessmark.model.log import Floats, Log
from witnessmark.report.drawing import FAINT, LINE
from witnessmark.report.verdict.thin import pauses

RULE = "rule of thumb"
_HEAD_ROOM = 1.35  # over the trace: a band in cold oil may reach so high that it flattens it


@dataclass(frozen=True)
class Shade:
    """Floor and top of the band, None where there is none, and the rule of thumb. [Pa] (n,)"""

    floor: Floats | None
    top: Floats | None
    rule: Floats
    basis: str


def pressure_shade(review: Review) -> Shade:
    """What the gauge is drawn against: the very lines the verdict judged by."""
    plan, log = review.plan, review.log
    case = Case(log, Terms(review.phase, plan.limits, plan.band, plan.no_band))
    rule = np.where(case.running, floor_pressure(case), np.nan)
    own = case.own_pressure
    if own is None:
        return Shade(None, None, rule, "")
    return Shade(own.floor, own.top, rule, own.band.basis)


def draw_shade(ax: Axes, shade: Shade, log: Log, scale: float, points: int) -> None:
    """Band and rule on the axes. `scale`: from Pa to the reader's unit."""
    _, most = ax.get_ylim()
    time, rule = _binned(log, shade.rule, points, np.fmin)
    ax.plot(
        time, rule * scale, color=FAINT, linewidth=0.9, linestyle=(0, (4, 3)), zorder=2.5,
        label=RULE,
    )  # fmt: skip
    if shade.floor is not None and shade.top is not None:
        time, floor = _binned(log, shade.floor, points, np.fmin)
        _, top = _binned(log, shade.top, points, np.fmax)
        ax.fill_between(
            time, floor * scale, top * scale, facecolor=(LINE, 0.15), edgecolor=(LINE, 0.55),
            linewidth=0.7, zorder=2, label="this engine's band",
        )  # fmt: skip
    low, high = ax.get_ylim()
    ax.set_ylim(low, min(high, most * _HEAD_ROOM))


def shade_in_words(shade: Shade) -> str:
    """What is drawn, for the caption."""
    rule = "Thin dashes: the rule of thumb, for comparison only."
    if shade.floor is None:
        return "Thin dashes: the rule of thumb, for want of a band of this engine."
    return f"Shaded: the oil pressure of this engine, {shade.basis}. {rule}"


def _binned(log: Log, values: Floats, points: int, least: np.ufunc) -> tuple[Floats, Floats]:
    """Time and values of few bins, broken at pauses in the recording."""
    edges = np.searchsorted(log.time, np.linspace(log.time[0], log.time[-1], points + 1)[:-1])
    first = np.unique(np.minimum(edges, len(log.time) - 1))
    breaks = np.array([(start + end) / 2 for start, end in pauses(log)])
    time = np.concatenate([log.time[first], breaks])
    binned = np.concatenate([least.reduceat(values, first), np.full(len(breaks), np.nan)])
    order = np.argsort(time, kind="stable")
    return time[order], binned[order]
