"""Oil pressure against engine speed, one panel a step of oil temperature, on this engine's band."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from witnessmark.checks.pressure.pressure_map import PressureMap
from witnessmark.checks.pressure.rule_of_thumb import rule_at
from witnessmark.checks.terms import Terms
from witnessmark.jobs.review import Review
from witnessmark.model.expected_pressure import HIGHEST, LOWEST, MIDDLE
from witnessmark.model.log import Floats
from witnessmark.report.axes import in_units
from witnessmark.report.drawing import (
    BROKEN,
    FAINT,
    INK,
    LINE,
    NARROW,
    WIDE,
    Chart,
    Size,
    style,
    svg,
)
from witnessmark.report.verdict.pressure_view import basis_words, oil_words, pressure_map_view
from witnessmark.units import Kind, Preferences, Quantity, shown_value

_PANELS = {False: 6, True: 4}  # wide and narrow: those with most time
_POINTS = 60  # of a line over speed


def pressure_chart(review: Review, prefer: Preferences, narrow: bool) -> Chart | None:
    """The pressure map as a chart; None when nothing settled was read."""
    found = review.pressure_map
    if found is None or np.isnan(found.median).all():
        return None
    return Chart(
        "pressure",
        "Oil pressure by engine speed",
        _draw(review, found, prefer, WIDE),
        _draw(review, found, prefer, NARROW) if narrow else "",
        _in_words(found, prefer),
        _caption(found),
    )


def _draw(review: Review, found: PressureMap, prefer: Preferences, size: Size) -> str:
    shown = _panels(found, size)
    across = 1 if size.narrow else min(3, len(shown)) - (len(shown) == 4)
    down = -(-len(shown) // across)
    with style(size):
        figure = Figure(
            figsize=(size.width, down * (2.3 if size.narrow else 3.0) + 1.1), layout="constrained"
        )
        axes = figure.subplots(down, across, sharex=True, sharey=True, squeeze=False)
        for ax, j in zip(axes.ravel(), shown, strict=False):
            _panel(ax, review, found, j, prefer)
            ax.set_title(oil_words(found, j, prefer), loc="left", fontsize=size.text)
        for ax in axes.ravel()[len(shown) :]:
            ax.set_axis_off()
        unit = shown_value(Quantity(0.0, Kind.PRESSURE), prefer)[1]
        figure.suptitle(
            f"Oil pressure, {unit}", x=0.01, ha="left", fontweight="bold", fontsize=size.text
        )
        for ax in axes[-1]:
            ax.set_xlabel("Engine speed, rpm")
        handles = {
            label: handle
            for ax in axes.ravel()
            for handle, label in zip(*ax.get_legend_handles_labels(), strict=True)
        }
        figure.legend(
            handles.values(), handles.keys(), loc="outside lower center", frameon=False,
            ncols=1 if size.narrow else 2, fontsize="small",
        )  # fmt: skip
        return svg(figure, f"pressure-{'s' if size.narrow else 'w'}")


def _panels(found: PressureMap, size: Size) -> list[int]:
    """Steps of oil temperature that are drawn, cold to hot."""
    time = np.where(np.isnan(found.median), 0.0, found.seconds).sum(axis=0)
    most = np.argsort(-time, kind="stable")[: _PANELS[size.narrow]]
    return sorted(int(j) for j in most if time[j] > 0)


def _panel(ax: Axes, review: Review, found: PressureMap, j: int, prefer: Preferences) -> None:
    ends = found.speed_edges[0], found.speed_edges[-1]
    speed = np.linspace(*ends, _POINTS)
    rpm = in_units(speed, Kind.ROTATIONAL_SPEED, prefer)
    rule = rule_at(Terms(review.phase, review.plan.limits), speed)
    ax.plot(
        rpm, in_units(rule, Kind.PRESSURE, prefer), color=FAINT, linewidth=1.0,
        linestyle=(0, (4, 3)), label="rule of thumb",
    )  # fmt: skip
    lines = _lines(review, found, j, speed)
    if lines is not None:
        low, middle, high = (in_units(line, Kind.PRESSURE, prefer) for line in lines)
        ax.fill_between(
            rpm, low, high, facecolor=(LINE, 0.16), edgecolor=(LINE, 0.7), linewidth=0.9,
            label=f"this engine's band, {found.basis}",
        )  # fmt: skip
        ax.plot(rpm, middle, color=LINE, linewidth=1.0, linestyle=":", label="its middle")
    _readings(ax, found, j, prefer)
    ax.set_ylim(bottom=0.0)
    ax.xaxis.set_major_locator(MaxNLocator(4, steps=[1, 2, 5, 10]))
    ax.xaxis.set_major_formatter(lambda x, _: f"{x:,.0f}")
    ax.yaxis.set_major_locator(MaxNLocator(5))
    ax.tick_params(length=0, labelbottom=True)


def _lines(
    review: Review, found: PressureMap, j: int, speed: Floats
) -> tuple[Floats, Floats, Floats] | None:
    """Floor, middle and top at the middle of the step of oil; None without a band."""
    band = review.plan.band
    if band is None:
        return None
    if found.oil_edges is None:
        low, middle, high = (
            np.interp(speed, found.speed[:, j], lines[:, j])
            for lines in (found.floor, found.middle, found.top)
        )
        return low, middle, high
    oil = np.full(len(speed), (found.oil_edges[j] + found.oil_edges[j + 1]) / 2)
    low, middle, high = band.lines((LOWEST, MIDDLE, HIGHEST), speed, oil)
    return low, middle, high


def _readings(ax: Axes, found: PressureMap, j: int, prefer: Preferences) -> None:
    """A bar from lowest to highest and a dot in its middle; a cross where it leaves its lines."""
    rpm = in_units(found.speed[:, j], Kind.ROTATIONAL_SPEED, prefer)
    lowest, median, highest = (
        in_units(values[:, j], Kind.PRESSURE, prefer)
        for values in (found.lowest, found.median, found.highest)
    )
    outside = (found.below + found.above)[:, j] > 0
    for mask, colour, marker, label in (
        (~outside, INK, "o", "readings: lowest, middle, highest"),
        (outside, BROKEN, "X", "readings outside their lines"),
    ):
        good = mask & ~np.isnan(median)
        if good.any():
            ax.vlines(rpm[good], lowest[good], highest[good], color=colour, linewidth=2.2)
            ax.plot(
                rpm[good], median[good], marker, color=colour, markersize=7 if marker == "X" else 5,
                markeredgecolor="white", markeredgewidth=0.7, label=label, zorder=4,
            )  # fmt: skip


def _in_words(found: PressureMap, prefer: Preferences) -> str:
    view = pressure_map_view(found, prefer)
    worst = view.worst if view is not None else ()
    return " ".join(("Oil pressure by engine speed and oil temperature.", *worst))


def _caption(found: PressureMap) -> str:
    lines = (
        " The band is drawn at the middle of each step of oil temperature; 199 of 200 stay over "
        "its lower edge, 199 of 200 under its upper."
        if found.basis
        else ""
    )
    said = "Readings after speed had settled."
    return f"{said} {basis_words(found)}{lines} Dashes: the rule of thumb, for comparison only."
