"""Pictures of a calibration: gauge and fit over time, and over engine speed."""

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.colors import ListedColormap
from matplotlib.figure import Figure

from witnessmark.jobs.calibration_drawn import CalibrationDrawn, FollowedLog
from witnessmark.model.log import Floats
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
)
from witnessmark.report.words import listed
from witnessmark.units import Kind, Preferences, Quantity, show, shown_value

_DASHES = ((0, (1, 1.2)), (0, (5, 2)), "-")  # cool, middle, hot
_DOTS = 900  # of a scatter: more only blacken it
_POINTS = 1500  # of a line over time


def calibration_charts(
    shown: CalibrationDrawn, prefer: Preferences, narrow: bool = True
) -> list[Chart]:
    """Both pictures; `narrow` : the phone's versions too."""
    return [_over_time(shown, prefer, narrow), _over_speed(shown, prefer, narrow)]


def calibration_svg(shown: CalibrationDrawn, prefer: Preferences) -> str:
    """The picture over engine speed alone, as an SVG file."""
    return _over_speed(shown, prefer, narrow=False).wide


def _over_time(shown: CalibrationDrawn, prefer: Preferences, narrow: bool) -> Chart:
    misses = [f"{log.name}: {show(_miss(log), prefer)}" for log in shown.logs]
    return Chart(
        "calibration-time",
        "What the gauge showed and what the fit says",
        svg(_time_figure(shown, prefer, WIDE), "cal-time-w"),
        svg(_time_figure(shown, prefer, NARROW), "cal-time-s") if narrow else "",
        f"The fit misses the gauge by (root mean square) {listed(misses)}.",
        "Thick and pale: the gauge. Thin and dark: the fit, with the sender's lag. No fit where "
        "the engine stands, has just started, or the oil is too cold to be known.",
    )


def _over_speed(shown: CalibrationDrawn, prefer: Preferences, narrow: bool) -> Chart:
    said = []
    for line in shown.lines:
        low, high = (show(Quantity(float(p), Kind.PRESSURE), prefer)
                     for p in (line.pressure[0], line.pressure[-1]))  # fmt: skip
        oil = show(Quantity(line.temperature, Kind.TEMPERATURE), prefer)
        said.append(f"{low} to {high} on oil of {oil}")
    first, last = (show(Quantity(float(shown.lines[0].speed[i]), Kind.ROTATIONAL_SPEED), prefer)
                   for i in (0, -1))  # fmt: skip
    return Chart(
        "calibration-speed",
        "Pressure over engine speed",
        svg(_speed_figure(shown, prefer, WIDE), "cal-speed-w"),
        svg(_speed_figure(shown, prefer, NARROW), "cal-speed-s") if narrow else "",
        f"By the fit, from {first} to {last}: {listed(said)}.",
        "Dots: readings, dark for cool oil, pale for hot. Lines: the fit on the coolest, the "
        "middle and the hottest oil of the logs. Dots off their "
        "line were read while speed changed.",
    )


def _time_figure(shown: CalibrationDrawn, prefer: Preferences, size: Size) -> Figure:
    count = len(shown.logs)
    with style(size):
        figure = Figure(figsize=(size.width, 0.7 + 2.2 * count), layout="constrained")
        for ax, log in zip(np.atleast_1d(figure.subplots(count, 1)), shown.logs, strict=True):
            _time_panel(ax, log, prefer, size)
        ax.set_xlabel("Time in the log, minutes")
        figure.canvas.draw()
        return figure


def _time_panel(ax: Axes, log: FollowedLog, prefer: Preferences, size: Size) -> None:
    every = max(1, len(log.time) // _POINTS)
    minutes = log.time[::every] / 60
    ax.plot(minutes, _in(log.shown[::every], Kind.PRESSURE, prefer), color=SECOND, alpha=0.45,
            linewidth=3.2, label="gauge")  # fmt: skip
    ax.plot(minutes, _in(log.fitted[::every], Kind.PRESSURE, prefer), color=LINE, linewidth=1.1,
            label="fit")  # fmt: skip
    ax.set_title(
        f"{log.name[:60]}: oil pressure, {prefer.unit(Kind.PRESSURE)}", loc="left",
        fontsize=size.text, fontweight="bold",
    )  # fmt: skip
    ax.set_ylim(bottom=0)
    ax.tick_params(length=0)
    ax.legend(loc="lower right", framealpha=0.9, edgecolor="none")


def _speed_figure(shown: CalibrationDrawn, prefer: Preferences, size: Size) -> Figure:
    with style(size):
        figure = Figure(figsize=(size.width, 3.9 if size.narrow else 4.8), layout="constrained")
        ax = figure.subplots()
        speed, oil, gauge = (_every(shown, name) for name in ("speed", "temperature", "shown"))
        kept = slice(None, None, max(1, len(speed) // _DOTS))
        dots = ax.scatter(
            _in(speed[kept], Kind.ROTATIONAL_SPEED, prefer),
            _in(gauge[kept], Kind.PRESSURE, prefer),
            c=_in(oil[kept], Kind.TEMPERATURE, prefer),
            cmap=_cool_to_hot(), s=9, linewidths=0, alpha=0.7,
        )  # fmt: skip
        for line, dash in zip(shown.lines, _DASHES, strict=True):
            ax.plot(
                _in(line.speed, Kind.ROTATIONAL_SPEED, prefer),
                _in(line.pressure, Kind.PRESSURE, prefer), color=INK, linestyle=dash, linewidth=1.8,
                label=f"fit, oil {show(Quantity(line.temperature, Kind.TEMPERATURE), prefer)}",
            )  # fmt: skip
        bar = figure.colorbar(dots, ax=ax, pad=0.02)
        bar.set_label(f"Oil, {prefer.unit(Kind.TEMPERATURE)}")
        bar.outline.set_edgecolor(FAINT)
        ax.set_title(f"Oil pressure, {prefer.unit(Kind.PRESSURE)}", loc="left",
                     fontsize=size.text, fontweight="bold")  # fmt: skip
        ax.set_xlabel("Engine speed, rpm")
        ax.xaxis.set_major_formatter(lambda x, _: f"{x:,.0f}")
        ax.set_ylim(bottom=0)
        ax.tick_params(length=0)
        ax.legend(loc="lower right", framealpha=0.9, edgecolor="none")
        figure.canvas.draw()
        return figure


def _cool_to_hot() -> ListedColormap:
    """Dark to pale, never so pale that white swallows it. Of few steps: a bar of many would be
    drawn as a bitmap, which a page that loads nothing refuses.
    """
    return ListedColormap(colormaps["cividis"](np.linspace(0, 0.85, 24)))


def _every(shown: CalibrationDrawn, name: str) -> Floats:
    return np.concatenate([getattr(log, name)[log.usable] for log in shown.logs])


def _miss(log: FollowedLog) -> Quantity:
    miss = (log.shown - log.fitted)[log.usable]
    return Quantity(float(np.sqrt(np.mean(miss**2))), Kind.PRESSURE)


def _in(values: Floats, kind: Kind, prefer: Preferences) -> Floats:
    zero, one = (shown_value(Quantity(x, kind), prefer)[0] for x in (0.0, 1.0))
    return np.asarray(zero + values * (one - zero))
