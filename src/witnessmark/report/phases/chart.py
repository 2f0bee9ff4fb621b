"""Engine speed and oil pressure over time, with what was done over what was planned."""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from witnessmark.checks.first_heat.sweep import Ladder
from witnessmark.jobs.first_heat import FirstHeat
from witnessmark.model.first_heat import Done, StepFound
from witnessmark.model.log import Span
from witnessmark.model.plan import Doing
from witnessmark.report.axes import in_units, time_axis
from witnessmark.report.drawing import (
    FAINT,
    INK,
    LINE,
    NARROW,
    SECOND,
    WIDE,
    Chart,
    Size,
    style,
    svg,
)  # fmt: skip
from witnessmark.report.phases.view import phases_view, step_name
from witnessmark.report.verdict.thin import POINTS, pauses, thinned
from witnessmark.report.words import listed
from witnessmark.units import Kind, Preferences, Quantity, shown_value

# Shade and hatching say which; the number on it says so too, on grey paper and to every eye.
_LOOKS = {
    Doing.CRANK: ("#d9dee2", "...."),
    Doing.FIRE: ("#f3e3c3", ""),
    Doing.HOLD: ("#bcd3d9", ""),
    Doing.SWEEP: ("#e7ddf0", "////"),
}
_LANES = ((1.0, "Done"), (0.0, "Planned"))
_TALL = 0.72  # of a lane


@dataclass(frozen=True)
class Bar:
    """A stretch in a lane, and the number of its step; `planned` is drawn empty."""

    span: Span
    number: int
    doing: Doing
    planned: bool


def phases_chart(found: FirstHeat, prefer: Preferences, narrow: bool = True) -> Chart:
    """The chart; `narrow` : the phone's version too."""
    return Chart(
        "phases",
        "Planned and done over time",
        svg(_figure(found, prefer, WIDE), "phases-w"),
        svg(_figure(found, prefer, NARROW), "phases-s") if narrow else "",
        _in_words(found, prefer),
        _caption(found),
    )


def _figure(found: FirstHeat, prefer: Preferences, size: Size) -> Figure:
    log = found.review.log
    end = float(log.time[-1] + log.held[-1])
    gauge = "oil_pressure" in log and bool(np.isfinite(log["oil_pressure"]).any())
    heights = [1.15, 2.3, *([1.4] if gauge else [])]
    with style(size):
        figure = Figure(figsize=(size.width, sum(heights) + 0.7), layout="constrained")
        axes = figure.subplots(len(heights), 1, sharex=True, height_ratios=heights)
        _lanes(axes[0], bars(found), end, size)
        _curve(axes[1], found, "engine_speed", Kind.ROTATIONAL_SPEED, prefer, size)
        _wanted(axes[1], found, prefer)
        if gauge:
            _curve(axes[2], found, "oil_pressure", Kind.PRESSURE, prefer, size)
        for ax in axes[1:]:
            for bar in bars(found):
                if not bar.planned:
                    ax.axvspan(
                        bar.span.start, bar.span.end, facecolor=_LOOKS[bar.doing][0],
                        edgecolor="none", alpha=0.45, zorder=0,
                    )  # fmt: skip
            for start, stop in pauses(log):
                ax.axvspan(start, stop, facecolor="#eceff1", edgecolor="none", zorder=0)
        time_axis(axes[-1], end, size)
        return figure


def bars(found: FirstHeat) -> list[Bar]:
    """What was done, and beneath it as long as it was planned, from the moment it was begun."""
    drawn = []
    for number, step in enumerate(found.steps, 1):
        if step.step.doing not in _LOOKS or not step.spans:
            continue
        drawn += [Bar(span, number, step.step.doing, planned=False) for span in step.spans]
        drawn += [Bar(span, number, step.step.doing, planned=True) for span in _planned(step)]
    return drawn


def _planned(step: StepFound) -> list[Span]:
    """The planned time, pausing where the work paused."""
    time, numbers = step.step.numbers["time"].value.value, step.step.numbers
    if step.step.doing is Doing.CRANK:
        count = round(numbers["times"].value.value)
        return [Span(s.start, s.start + time) for s in step.spans[:count]]
    left, spans = time, []
    for i, span in enumerate(step.spans):
        last = i + 1 == len(step.spans)
        length = left if last else min(left, span.length)
        spans.append(Span(span.start, span.start + length))
        left -= length
        if left <= 0:
            break
    return spans


def _lanes(ax: Axes, drawn: list[Bar], end: float, size: Size) -> None:
    ax.set_ylim(-0.55, 1.95)
    ax.set_yticks([y for y, _ in _LANES], [name for _, name in _LANES])
    ax.grid(visible=False)
    for side in ("left", "bottom"):
        ax.spines[side].set_visible(False)
    ax.tick_params(length=0, labelbottom=False)
    numbered: dict[float, float] = {}
    for bar in sorted(drawn, key=lambda b: (b.planned, b.span.start)):
        y = 0.0 if bar.planned else 1.0
        face, hatch = _LOOKS[bar.doing]
        ax.add_patch(
            Rectangle(
                (bar.span.start, y - _TALL / 2), max(bar.span.length, end * 0.003), _TALL,
                facecolor="white" if bar.planned else face, edgecolor=INK, hatch=hatch,
                linewidth=0.8, linestyle=(0, (3, 2)) if bar.planned else "-",
            )
        )  # fmt: skip
        _number(ax, bar, y, end, size, numbered)


def _number(
    ax: Axes, bar: Bar, y: float, end: float, size: Size, numbered: dict[float, float]
) -> None:
    """The step's number in its bar; over it where the bar is too narrow, if there is room."""
    width = end * (0.035 if size.narrow else 0.016)
    middle = (bar.span.start + bar.span.end) / 2
    if bar.span.length >= width:
        ax.text(
            middle, y, str(bar.number), ha="center", va="center", fontweight="bold",
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.85},
        )  # fmt: skip
    elif not bar.planned and middle - numbered.get(y, -end) >= width:
        numbered[y] = middle
        ax.text(middle, y + _TALL / 2 + 0.04, str(bar.number), ha="center", va="bottom")


def _curve(
    ax: Axes, found: FirstHeat, channel: str, kind: Kind, prefer: Preferences, size: Size
) -> None:
    log = found.review.log
    time, values = thinned(log, log[channel], POINTS // 3 if size.narrow else POINTS)
    colour = LINE if channel == "engine_speed" else SECOND
    ax.plot(time, in_units(values, kind, prefer), color=colour, linewidth=1.2, zorder=3)
    unit = shown_value(Quantity(0.0, kind), prefer)[1]
    name = channel.replace("_", " ").capitalize()
    ax.set_title(f"{name}, {unit}", loc="left", fontsize=size.text, fontweight="bold", pad=4)
    ax.set_ylim(bottom=0)
    ax.yaxis.set_major_locator(MaxNLocator(5))
    ax.yaxis.set_major_formatter(lambda y, _: f"{y:,.0f}" if abs(y) >= 10 else f"{y:g}")
    ax.tick_params(length=0)


def _wanted(ax: Axes, found: FirstHeat, prefer: Preferences) -> None:
    """Where the plan wants the speed while a step lasts: a hold's band, a sweep's levels."""
    for hold in found.found.holds.values():
        low, high = in_units(np.array([hold.low, hold.high]), Kind.ROTATIONAL_SPEED, prefer)
        for span in hold.spans:
            for level in (low, high):
                ax.plot([span.start, span.end], [level] * 2, color=INK, linewidth=0.9,
                        linestyle=(0, (3, 2)), zorder=4)  # fmt: skip
    for place, sweeps in found.found.sweeps.items():
        ladder = Ladder.of(found.review.phase.steps[place])
        levels = np.array([ladder.bottom + ladder.rung * i for i in range(ladder.levels)])
        for sweep in sweeps:
            for level in in_units(levels, Kind.ROTATIONAL_SPEED, prefer):
                ax.plot([sweep.spans[0].start, sweep.spans[-1].end], [level] * 2, color=FAINT,
                        linewidth=0.7, linestyle=(0, (2, 3)), zorder=2)  # fmt: skip


def _in_words(found: FirstHeat, prefer: Preferences) -> str:
    steps = phases_view(found, prefer).steps
    said = [
        f"{step.number} {step.name.lower()}, {step.done.lower()}"
        + (f", from {step.at}" if step.at else "")
        for step in steps
    ]
    return f"Steps: {listed(said)}."


def _caption(found: FirstHeat) -> str:
    said = [
        "Full bars: done. Dashed bars under them: as long as the plan has it, from the moment it "
        "was begun. The numbers are those of the steps. Dashed lines: the speeds planned."
    ]
    left = [
        f"{number} {step_name(step.step).lower()}"
        for number, step in enumerate(found.steps, 1)
        if step.step.doing in _LOOKS and step.done in (Done.NOT_DONE, Done.NOT_SHOWN)
    ]
    if left:
        said.append(f"Not in this recording: {listed(left)}.")
    return " ".join(said)
