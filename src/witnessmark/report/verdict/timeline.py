"""What happened when: speed, load, oil pressure and temperatures, with the worst moments."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from witnessmark.checks.driving.load import atmosphere
from witnessmark.checks.terms import Terms
from witnessmark.jobs.review import Review
from witnessmark.model.log import Floats, Span
from witnessmark.model.plan import Limit
from witnessmark.report.axes import in_units, time_axis
from witnessmark.report.drawing import (
    BROKEN,
    FAINT,
    LINE,
    NARROW,
    ON_WHITE,
    SECOND,
    WIDE,
    Chart,
    Size,
    style,
    svg,
)  # fmt: skip
from witnessmark.report.verdict.doing_strip import OFF_SHADE, draw_strip, off_spans
from witnessmark.report.verdict.pressure_shade import (
    Shade,
    draw_shade,
    pressure_shade,
    shade_in_words,
)
from witnessmark.report.verdict.thin import POINTS, pauses, thinned
from witnessmark.report.verdict.view import numbered
from witnessmark.report.words import counted, listed, plain, title
from witnessmark.units import Kind, Preferences, Quantity, show, shown_value

_NAME_HEIGHT = 0.17  # of a panel: what the name of a level takes up


@dataclass(frozen=True)
class Mark:
    """A level drawn across a panel, SI."""

    name: str
    level: float
    over: str  # the channel that breaks it by going over, "" for a level that is no ceiling
    owner: str = ""  # who set it


@dataclass(frozen=True)
class Panel:
    """Channels that share an axis, and the levels drawn on it."""

    channels: tuple[str, ...]
    kind: Kind
    marks: tuple[Mark, ...]
    shade: Shade | None = None


@dataclass(frozen=True)
class Flag:
    """A numbered moment of the verdict."""

    number: int
    span: Span


def timeline(review: Review, prefer: Preferences, narrow: bool) -> Chart | None:
    """The log over time; None when it shows nothing that could be drawn."""
    panels = _panels(review)
    if not panels or len(review.log.time) < 2:
        return None
    flags = [Flag(n, event.span) for n, _, event in numbered(review.verdict)]
    return Chart(
        "timeline",
        "The drive over time",
        _draw(review, panels, flags, prefer, WIDE),
        _draw(review, panels, flags, prefer, NARROW) if narrow else "",
        _in_words(review, panels, flags, prefer),
        _caption(review, panels, flags),
    )


def _panels(review: Review) -> list[Panel]:
    log, ceilings = review.log, review.phase.ceilings
    found = []
    if "engine_speed" in log:
        limit = ceilings.get("engine_speed")
        marks = (_ceiling("ceiling", limit, "engine_speed"),) if limit else ()
        found.append(Panel(("engine_speed",), Kind.ROTATIONAL_SPEED, marks))
    load = review.load_map.load if review.load_map else None
    if "manifold_pressure" in log and (load in (None, "manifold_pressure") or "boost" in ceilings):
        found.append(Panel(("manifold_pressure",), Kind.ABSOLUTE_PRESSURE, _boost(review)))
    elif load is not None and load in log and review.load_map:
        found.append(Panel((load,), review.load_map.load_kind, ()))
    if "oil_pressure" in log:
        most = ceilings.get("oil_pressure")
        high = (_ceiling("oil pressure ceiling", most, "oil_pressure"),) if most else ()
        found.append(Panel(("oil_pressure",), Kind.PRESSURE, high, pressure_shade(review)))
    heats = tuple(c for c in ("coolant_temperature", "oil_temperature") if c in log)
    if heats:
        found.append(Panel(heats, Kind.TEMPERATURE, _warm(review, heats)))
    shown = [p for p in found if any(np.isfinite(log[c]).any() for c in p.channels)]
    return [_near(panel, review) for panel in shown]


def _ceiling(name: str, limit: Limit, channel: str) -> Mark:
    return Mark(name, limit.value.value, channel, limit.authority.owner)


def _near(panel: Panel, review: Review) -> Panel:
    """The panel without levels so far over its readings that they would flatten them."""
    values = np.concatenate([review.log[c] for c in panel.channels])
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    marks = tuple(m for m in panel.marks if m.level - high <= max(high - low, abs(high) * 0.02))
    return replace(panel, marks=marks)


def _boost(review: Review) -> tuple[Mark, ...]:
    terms = Terms(review.phase, review.plan.limits)
    air = float(np.nanmedian(atmosphere(review.log, terms).values))
    limit = review.phase.ceilings.get("boost")
    marks = [Mark("atmosphere", air, "")]
    if limit:
        level, owner = air + limit.value.value, limit.authority.owner
        marks.append(Mark("boost ceiling", level, "manifold_pressure", owner))
    return tuple(marks)


def _warm(review: Review, channels: tuple[str, ...]) -> tuple[Mark, ...]:
    marks: dict[tuple[str, float], Mark] = {}
    for channel in channels:
        fluid = channel.split("_")[0]
        warm, most = review.plan.limits.get(f"warm_{fluid}"), review.phase.ceilings.get(channel)
        if warm:
            name = f"{fluid} warm"
            marks[name, warm.value.value] = Mark(name, warm.value.value, "")
        if most:
            name = f"{fluid} ceiling"
            marks[name, most.value.value] = _ceiling(name, most, channel)
    return tuple(marks.values())


def _draw(
    review: Review, panels: list[Panel], flags: list[Flag], prefer: Preferences, size: Size
) -> str:
    log = review.log
    end = float(log.time[-1] + log.held[-1])
    rows = _rows(flags, end, size)
    strip = 0.25 + 0.26 * (max(rows, default=0) + 1) if flags else 0.05
    done = review.doings
    heights = [
        strip,
        *([0.22] if done else []),
        *(1.9 if i == 0 else 1.45 for i in range(len(panels))),
    ]
    with style(size):
        figure = Figure(figsize=(size.width, sum(heights) + 0.6), layout="constrained")
        axes = figure.subplots(len(heights), 1, sharex=True, height_ratios=heights)
        _flags(axes[0], flags, rows)
        if done is not None:
            draw_strip(axes[1], done, end, size)
        off = off_spans(done, end) if done is not None else []
        for ax, panel in zip(axes[-len(panels) :], panels, strict=True):
            for start, stop in off:
                ax.axvspan(start, stop, facecolor=OFF_SHADE, edgecolor="none", zorder=0)
            _panel(ax, review, panel, prefer, size)
            for flag in flags:
                _band(ax, flag, end)
            _gaps(ax, pauses(log), end)
        time_axis(axes[-1], end, size)
        return svg(figure, f"time-{'s' if size.narrow else 'w'}")


def _gaps(ax: Axes, stopped: list[tuple[float, float]], end: float) -> None:
    """Blank paper between two dotted edges where nothing was recorded."""
    for start, stop in stopped:
        ax.axvspan(start, stop, facecolor="white", edgecolor="none", zorder=2.4)
        if stop - start > end * 0.003:
            for edge in (start, stop):
                ax.axvline(edge, color=FAINT, linewidth=0.8, linestyle=":", zorder=2.5)


def _rows(flags: Sequence[Flag], end: float, size: Size) -> list[int]:
    """Row of the strip for each flag, so that near neighbours do not hide each other."""
    apart = end * (0.075 if size.narrow else 0.03)
    last: list[float] = []
    rows = []
    for flag in sorted(flags, key=lambda f: f.span.start):
        row = next((i for i, x in enumerate(last) if flag.span.start - x >= apart), len(last))
        last[row : row + 1] = [flag.span.start]
        rows.append((flag.number, row))
    by_number = dict(rows)
    return [by_number[f.number] for f in flags]


def _flags(ax: Axes, flags: list[Flag], rows: list[int]) -> None:
    ax.set_axis_off()
    deepest = max(rows, default=0)
    ax.set_ylim(-0.6, deepest + 0.6)
    for flag, row in zip(flags, rows, strict=True):
        ax.annotate(
            f"{flag.number}", ((flag.span.start + flag.span.end) / 2, deepest - row),
            ha="center", va="center", fontweight="bold",
            color="white",
            bbox={"boxstyle": "square,pad=0.22", "facecolor": BROKEN, "edgecolor": BROKEN},
            annotation_clip=False,
        )  # fmt: skip


def _band(ax: Axes, flag: Flag, end: float) -> None:
    # A moment of a second in an hour would be thinner than a hair: give it a hair's width.
    least = end * 0.003
    middle = (flag.span.start + flag.span.end) / 2
    half = max(flag.span.length, least) / 2
    ax.axvspan(
        middle - half, middle + half, zorder=1,
        facecolor="#f0cfc9", edgecolor=BROKEN, hatch="////", linewidth=0.6,
    )  # fmt: skip


def _panel(ax: Axes, review: Review, panel: Panel, prefer: Preferences, size: Size) -> None:
    log = review.log
    points = POINTS // 3 if size.narrow else POINTS
    for channel, colour, dash in zip(panel.channels, (LINE, SECOND), ("-", "--"), strict=False):
        time, values = thinned(log, log[channel], points)
        shown = in_units(values, panel.kind, prefer)
        ax.plot(time, shown, color=colour, linestyle=dash, linewidth=1.3, zorder=3)
        _dots(ax, time, shown, colour)
        for mark in panel.marks:
            if mark.over == channel:
                _over(ax, time, shown, in_units(np.array([mark.level]), panel.kind, prefer)[0])
        if len(panel.channels) > 1:
            _name_line(ax, time, shown, plain(channel).split()[0], colour)
    if panel.shade is not None:
        scale = float(in_units(np.array([1.0]), panel.kind, prefer)[0])
        draw_shade(ax, panel.shade, log, scale, points // 2)
    unit = shown_value(Quantity(0.0, panel.kind), prefer)[1]
    if panel.kind is Kind.ABSOLUTE_PRESSURE:
        unit += " abs"
    name = "Temperature" if panel.kind is Kind.TEMPERATURE else title(panel.channels[0])
    ax.set_title(f"{name}, {unit}", loc="left", fontsize=size.text, fontweight="bold", pad=4)
    _leave_room(ax, panel, prefer)
    _levels(ax, panel, prefer, size)
    if panel.shade is not None:
        ax.legend(
            loc="upper left", ncols=2, fontsize="small", framealpha=0.9, edgecolor="none",
            borderpad=0.1, handlelength=1.6,
        ).set_zorder(6)  # fmt: skip
    ax.yaxis.set_major_formatter(lambda y, _: f"{y:,.0f}" if abs(y) >= 10 else f"{y:g}")
    ax.yaxis.set_major_locator(MaxNLocator(5))
    ax.tick_params(length=0)


def _leave_room(ax: Axes, panel: Panel, prefer: Preferences) -> None:
    """Keep a line's height free over the highest level, where its name stands."""
    low, high = ax.get_ylim()
    if panel.kind in (Kind.ROTATIONAL_SPEED, Kind.FRACTION):
        low = 0.0
    levels = [shown_value(Quantity(m.level, panel.kind), prefer)[0] for m in panel.marks]
    top = max([high, *levels])
    least = min([low, *levels])
    span = top - least
    ax.set_ylim(least - 0.05 * span * (least < 0 or low != 0), top + 0.22 * span)


def _dots(ax: Axes, time: Floats, shown: Floats, colour: str) -> None:
    """Draw lone readings between two gaps: a line of one point cannot be seen."""
    gap = np.isnan(np.concatenate([[np.nan], shown, [np.nan]]))
    lone = gap[:-2] & ~gap[1:-1] & gap[2:]
    ax.plot(time[lone], shown[lone], ".", color=colour, markersize=3, zorder=3)


def _over(ax: Axes, time: Floats, shown: Floats, level: float) -> None:
    """Draw what lies over a ceiling twice as thick and in the ink of a broken line."""
    with np.errstate(invalid="ignore"):
        over = np.where(shown > level, shown, np.nan)
    ax.plot(time, over, color=BROKEN, linewidth=3, zorder=3.5, solid_capstyle="butt")
    _dots(ax, time, over, BROKEN)


def _name_line(ax: Axes, time: Floats, shown: Floats, name: str, colour: str) -> None:
    seen = np.flatnonzero(np.isfinite(shown))
    if len(seen):
        at = seen[len(seen) // 2]
        ax.annotate(
            name, (time[at], shown[at]), xytext=(0, 7 if colour == LINE else -7),
            textcoords="offset points", color=colour, ha="center", fontweight="bold",
            va="bottom" if colour == LINE else "top", zorder=5, bbox=ON_WHITE,
        )  # fmt: skip


def _levels(ax: Axes, panel: Panel, prefer: Preferences, size: Size) -> None:
    """Ceilings named at the right with who set them, other levels at the left."""
    low, high = ax.get_ylim()
    for mark in panel.marks:
        level, _ = shown_value(Quantity(mark.level, panel.kind), prefer)
        ax.axhline(
            level, color=BROKEN if mark.over else FAINT, zorder=4,
            linewidth=1.6 if mark.over else 1.1, linestyle="-" if mark.over else (0, (5, 3)),
        )  # fmt: skip
        over = [
            shown_value(Quantity(other.level, panel.kind), prefer)[0] - level
            for other in panel.marks
            if bool(other.over) == bool(mark.over) and other.level > mark.level
        ]
        # Where the next level leaves no room for the name above the line, it goes below.
        below = bool(over) and min(over) < _NAME_HEIGHT * (high - low)
        _name_level(ax, mark, panel, prefer, size, below=below)


def _name_level(
    ax: Axes, mark: Mark, panel: Panel, prefer: Preferences, size: Size, *, below: bool
) -> None:
    quantity = Quantity(mark.level, panel.kind)
    owner = f", set by {mark.owner}" if mark.owner and not size.narrow else ""
    ax.annotate(
        f"{mark.name} {show(quantity, prefer)}{owner}",
        (1.0 if mark.over else 0.005, shown_value(quantity, prefer)[0]),
        xycoords=("axes fraction", "data"), xytext=(0, -3 if below else 2),
        textcoords="offset points", ha="right" if mark.over else "left",
        va="top" if below else "bottom", zorder=5, color=BROKEN if mark.over else FAINT,
        bbox=ON_WHITE, fontsize="small",
    )  # fmt: skip


def _in_words(review: Review, panels: list[Panel], flags: list[Flag], prefer: Preferences) -> str:
    log = review.log
    said = [f"Over {_time(float(log.time[-1] + log.held[-1]))}."]
    for panel in panels:
        for channel in panel.channels:
            low, high = (
                show(Quantity(float(f(log[channel])), panel.kind), prefer)
                for f in (np.nanmin, np.nanmax)
            )
            said.append(f"{title(channel)} from {low} to {high}.")
        levels = [f"{m.name} {show(Quantity(m.level, panel.kind), prefer)}" for m in panel.marks]
        if levels:
            said.append(f"Lines drawn: {listed(levels)}.")
    broken = [f"{f.number} at {_time(f.span.start)}" for f in flags]
    if broken:
        said.append(f"Moments over a limit: {listed(broken)}.")
    return " ".join(said)


def _caption(review: Review, panels: list[Panel], flags: list[Flag]) -> str:
    said = [shade_in_words(panel.shade) for panel in panels if panel.shade is not None]
    if flags:
        said.append("Hatched: a limit was broken. The numbers are those of the list of moments.")
    stopped = pauses(review.log)
    if stopped:
        lost = _time(sum(end - start for start, end in stopped))
        said.append(f"Blank: {counted(len(stopped), 'pause')} in the recording, {lost} in all.")
    owners = sorted({m.owner for panel in panels for m in panel.marks if m.owner})
    if owners:
        said.append(f"Ceilings set by {listed(owners)}.")
    return " ".join(said)


def _time(seconds: float) -> str:
    return show(Quantity(seconds, Kind.DURATION), Preferences())
