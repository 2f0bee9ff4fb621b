"""A small chart of one moment: what the engine did in the seconds around it."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from witnessmark.jobs.packet.packet import Packet
from witnessmark.jobs.packet.table import frame
from witnessmark.jobs.packet.units import Shown
from witnessmark.report.drawing import BROKEN, FAINT, LINE, Size, style, svg
from witnessmark.report.packet.moments import Moment, window
from witnessmark.report.words import title

_SMALL = Size(6.4, 9.0, narrow=False)
_PANELS = 5
# What is drawn first where a log has more than fits.
_ORDER = (
    "engine_speed", "manifold_pressure", "engine_load", "pedal_position", "oil_pressure", "lambda",
    "coolant_temperature", "oil_temperature", "road_speed",
)  # fmt: skip
_ABOUT = {"boost": "manifold_pressure", "oil": "oil_pressure"}  # a title's word -> its channel


def moment_chart(packet: Packet, moment: Moment) -> str:
    """The chart as an <svg> element; "" if the log shows nothing around the moment."""
    log = packet.review.log
    part = window(log, moment.span)
    time = log.time[part]
    shown = _panels(packet, moment, part)
    if len(time) < 2 or not shown:
        return ""
    table = frame(log, shown, part)
    with style(_SMALL):
        height = 0.75 + 1.05 * len(shown)
        # Fixed margins: a layout that measures every letter takes longer than the drawing.
        figure = Figure(figsize=(_SMALL.width, height))
        figure.subplots_adjust(0.1, 0.5 / height, 0.985, 1 - 0.25 / height, hspace=0.38)
        axes = np.atleast_1d(figure.subplots(len(shown), 1, sharex=True))
        for ax, one in zip(axes, shown, strict=True):
            values = table[one.head].to_numpy().astype(float)
            _draw(ax, time, values, one, moment)
        axes[-1].set_xlabel("Time in the log, s")
        return svg(figure, f"moment-{moment.number}")


def _panels(packet: Packet, moment: Moment, part: slice) -> list[Shown]:
    log = packet.review.log
    seen = {
        one.channel: one for one in packet.tuner if np.isfinite(log[one.channel][part]).any()
    }  # fmt: skip
    words = moment.title.lower()
    told = [c for c in seen if c.replace("_", " ") in words]
    told += [c for word, c in _ABOUT.items() if c in seen and word in words and c not in told]
    order = [*told, *(c for c in _ORDER if c in seen and c not in told)]
    wanted = sorted(order[:_PANELS], key=lambda c: c != "engine_speed")
    return [seen[channel] for channel in wanted]


def _draw(ax: Axes, time: np.ndarray, values: np.ndarray, one: Shown, moment: Moment) -> None:
    ink = BROKEN if moment.broke else FAINT
    fill = "#f0cfc9" if moment.broke else "#eceff1"
    ax.axvspan(
        moment.span.start, max(moment.span.end, moment.span.start + 0.02), facecolor=fill,
        edgecolor=ink, hatch="////", linewidth=0.6, zorder=1,
    )  # fmt: skip
    # A reading stands until the next one: nothing is drawn between two of them.
    ax.plot(time, values, color=LINE, linewidth=1.3, drawstyle="steps-post", zorder=3)
    ax.plot(time, values, ".", color=LINE, markersize=2.5, zorder=3)
    name = f"{title(one.channel)}, {one.unit}"
    ax.set_title(name, loc="left", fontsize=_SMALL.text, fontweight="bold", pad=2)
    ax.yaxis.set_major_formatter(lambda y, _: f"{y:,.0f}" if abs(y) >= 1000 else f"{y:g}")
    ax.locator_params(axis="y", nbins=4)
    ax.tick_params(length=0)
