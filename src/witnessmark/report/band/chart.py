"""The pressure band as a picture: pressure over engine speed, one band an oil temperature."""

import io

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from witnessmark.jobs.band import EngineBand, Reading
from witnessmark.model.log import Floats
from witnessmark.report.drawing import (
    BROKEN,
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
from witnessmark.report.words import listed
from witnessmark.units import Kind, Preferences, Quantity, parse, show, shown_value

RULE = "rule of thumb, not this engine's"
# Cold, warm, hot: each told by its dash and its hatch too, for grey paper and every eye.
_OILS = (
    ("40 °C", LINE, "-", ""),
    ("90 °C", SECOND, "--", "//"),
    ("120 °C", INK, ":", "\\\\"),
)
_ON_WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 1.0, "alpha": 0.85}


def band_chart(
    made: EngineBand, prefer: Preferences, narrow: bool = True, reading: Reading | None = None
) -> Chart:
    """The band as a chart; `reading` is drawn as a cross. `narrow` : the phone's version too."""
    return Chart(
        "band",
        "Pressure this engine should show",
        _svg(made, prefer, WIDE, reading),
        _svg(made, prefer, NARROW, reading) if narrow else "",
        _in_words(made, prefer),
        "Each band: what 90 of 100 such builds show; its line: the middle of them. Three oil "
        f"temperatures. Thin: {RULE}.",
    )


def band_png(made: EngineBand, prefer: Preferences, reading: Reading | None = None) -> bytes:
    """The wide picture as PNG, the same bytes each time."""
    out = io.BytesIO()
    with style(WIDE):
        figure = _figure(made, prefer, WIDE, reading)
        figure.savefig(out, format="png", dpi=150, metadata={"Software": None})
    return out.getvalue()


def _svg(made: EngineBand, prefer: Preferences, size: Size, reading: Reading | None) -> str:
    with style(size):
        return svg(_figure(made, prefer, size, reading), f"band-{'s' if size.narrow else 'w'}")


def _figure(made: EngineBand, prefer: Preferences, size: Size, reading: Reading | None) -> Figure:
    figure = Figure(figsize=(size.width, 4.5 if size.narrow else 5.4), layout="constrained")
    ax = figure.subplots()
    for name, colour, dash, hatch in _OILS:
        _band(ax, made, prefer, (name, colour, dash, hatch))
    _levels(ax, made, prefer)
    if reading is not None:
        ax.plot(
            _rpm(np.array([reading.speed])), _pressure(np.array([reading.pressure]), prefer),
            "x", color=BROKEN, markersize=11, markeredgewidth=2.6, zorder=6,
            label="your reading",
        )  # fmt: skip
    unit = prefer.unit(Kind.PRESSURE)
    ax.set_title(f"Oil pressure, {unit}", loc="left", fontsize=size.text, fontweight="bold")
    ax.set_xlabel("Engine speed, rpm")
    ax.xaxis.set_major_formatter(lambda x, _: f"{x:,.0f}")
    ax.set_xlim(0, float(_rpm(made.band.speed[-1:])[0]))
    ax.set_ylim(bottom=0)
    ax.tick_params(length=0)
    # Under the picture: inside, it would lie over a low reading.
    figure.legend(loc="outside lower center", ncols=2 if size.narrow else 3, frameon=False)
    return figure


def _band(ax: Axes, made: EngineBand, prefer: Preferences, kind: tuple[str, str, str, str]) -> None:
    text, colour, dash, hatch = kind
    oil = parse(text, Kind.TEMPERATURE, "")
    found = made.band.at(made.band.speed, oil.value)
    low, middle, high = (_pressure(p, prefer) for p in (found.low, found.middle, found.high))
    rpm = _rpm(made.band.speed)
    ax.fill_between(
        rpm, low, high, facecolor=(colour, 0.16), edgecolor=(colour, 0.45), hatch=hatch,
        linewidth=0.4, zorder=2,
    )  # fmt: skip
    ax.plot(rpm, middle, color=colour, linestyle=dash, linewidth=2.0, zorder=4,
            label=f"oil {show(oil, prefer)}")  # fmt: skip


def _levels(ax: Axes, made: EngineBand, prefer: Preferences) -> None:
    relief = Quantity(made.band.relief, Kind.PRESSURE)
    level = shown_value(relief, prefer)[0]
    ax.axhline(level, color=FAINT, linewidth=1.1, linestyle=(0, (5, 3)), zorder=3)
    ax.annotate(
        f"relief opens {show(relief, prefer)}", (0.99, level), xycoords=("axes fraction", "data"),
        xytext=(0, -3), textcoords="offset points", color=FAINT, va="top", ha="right",
        bbox=_ON_WHITE,
    )  # fmt: skip
    speed = np.array([0.0, float(made.band.speed[-1])])
    per_turn = made.rule.value.value / parse("1000 rpm", Kind.ROTATIONAL_SPEED, "").value
    ax.plot(_rpm(speed), _pressure(per_turn * speed, prefer), color=FAINT, linewidth=0.8,
            zorder=3, label=RULE)  # fmt: skip


def _pressure(values: Floats, prefer: Preferences) -> Floats:
    return values * shown_value(Quantity(1.0, Kind.PRESSURE), prefer)[0]


def _rpm(speed: Floats) -> Floats:
    return speed * shown_value(Quantity(1.0, Kind.ROTATIONAL_SPEED), Preferences())[0]


def _in_words(made: EngineBand, prefer: Preferences) -> str:
    said = []
    for text, *_ in _OILS:
        oil = parse(text, Kind.TEMPERATURE, "")
        found = made.band.at(made.idle, oil.value)
        low, high = (show(Quantity(float(p), Kind.PRESSURE), prefer)
                     for p in (found.low, found.high))  # fmt: skip
        said.append(f"{low} to {high} on oil of {show(oil, prefer)}")
    idle = show(Quantity(made.idle, Kind.ROTATIONAL_SPEED), prefer)
    return f"Idling at {idle}: {listed(said)}."
