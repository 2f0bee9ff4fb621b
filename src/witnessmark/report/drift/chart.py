"""Leakage and relief opening from log to log, with bars for what is not known."""

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from witnessmark.model.build import BuildSheet
from witnessmark.model.drift import Change, Drift, Moved
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
)  # fmt: skip
from witnessmark.report.drift.view import drift_view
from witnessmark.report.words import listed

_PARTS = (0, 1)  # leakage and relief opening; the gradient is in the table
# Word, colour and shape say the same: it survives grey paper and every eye.
_LOOKS = {
    Moved.CHANGED: (BROKEN, "D", BROKEN),
    Moved.SAME: (LINE, "o", LINE),
    Moved.CANNOT_TELL: (FAINT, "o", "white"),
}


def drift_chart(found: Drift, sheet: BuildSheet, narrow: bool = True) -> Chart:
    """The chart; `narrow` : the phone's version too."""
    said = [f"{log.name}: {log.headline}" for log in drift_view(found, sheet).logs]
    return Chart(
        "drift",
        "Log after log",
        svg(_figure(found, WIDE), "drift-w"),
        svg(_figure(found, NARROW), "drift-s") if narrow else "",
        f"{listed(said)}.",
        "Change against the reference; bars: 5 to 95 %. Full diamond: changed. Full dot: not "
        "changed. Empty dot: cannot tell. Between the dashes: less than is worth knowing.",
    )


def _figure(found: Drift, size: Size) -> Figure:
    with style(size):
        wide = not size.narrow
        figure = Figure(figsize=(size.width, 3.4 if wide else 5.6), layout="constrained")
        grid = figure.subplots(1, 2) if wide else figure.subplots(2, 1)
        for ax, part in zip(grid, _PARTS, strict=True):
            _panel(ax, [log.changes[part] for log in found.logs], size)
        figure.canvas.draw()
        return figure


def _panel(ax: Axes, changes: list[Change], size: Size) -> None:
    worth = 100 * changes[0].worth
    farthest = 6 * worth  # a bar that says nothing may leave the picture
    ax.axhline(0, color=INK, linewidth=1.0)
    for level in (-worth, worth):
        ax.axhline(level, color=FAINT, linewidth=1.0, linestyle=(0, (5, 3)))
    ax.plot(0, 0, "s", color=INK, markersize=7)
    for number, each in enumerate(changes, 1):
        colour, shape, fill = _LOOKS[each.moved]
        low, middle, high = (100 * share for share in (each.low, each.share, each.high))
        ax.plot([number, number], [low, high], color=colour, linewidth=2.2)
        ax.plot(number, middle, shape, color=colour, markerfacecolor=fill, markersize=9,
                markeredgewidth=1.8)  # fmt: skip
    shown = [100 * share for each in changes for share in (each.low, each.high)]
    low, high = min(-1.5 * worth, *shown), max(1.5 * worth, *shown)
    room = 0.05 * (high - low)
    ax.set_ylim(max(-farthest, low - room), min(farthest, high + room))
    ax.set_xlim(-0.5, len(changes) + 0.5)
    ax.set_xticks(range(len(changes) + 1), ["ref.", *map(str, range(1, len(changes) + 1))])
    ax.set_xlabel("Log, in the order given")
    title = changes[0].title
    ax.set_title(f"{title[:1].upper()}{title[1:]}, % of the reference", loc="left",
                 fontsize=size.text, fontweight="bold")  # fmt: skip
    ax.yaxis.set_major_formatter(lambda y, _: f"{y:+g}" if y else "0")
    ax.tick_params(length=0)
