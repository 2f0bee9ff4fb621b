"""The map of films as a picture: film over roughness, by speed and load, a panel for each oil."""

import io

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import BoundaryNorm, LinearSegmentedColormap
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from witnessmark.jobs.film import EngineFilm
from witnessmark.jobs.film_marks import Ceiling
from witnessmark.model.log import Floats
from witnessmark.report.drawing import (
    BROKEN,
    FAINT,
    GRID,
    INK,
    NARROW,
    WIDE,
    Chart,
    Size,
    style,
    svg,
)  # fmt: skip
from witnessmark.report.film.view import film_view
from witnessmark.report.words import listed
from witnessmark.units import Kind, Preferences, Quantity, show, shown_value

# One hue, dark where the film is thin: it prints in grey and reads the same for every eye.
_SHADES = LinearSegmentedColormap.from_list(
    "film", ["#0c3b47", "#2c6f7c", "#6fa3ac", "#b9d3d6", "#f3f7f7"]
)
_LEVELS = (0, 0.5, 1, 1.5, 2, 3, 4, 6, 10, 20, 1000)  # film over roughness
_ON_WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 0.8, "alpha": 0.9}


def film_chart(made: EngineFilm, prefer: Preferences, narrow: bool = True) -> Chart:
    """The map as a chart. `narrow` : the phone's version too."""
    return Chart(
        "film",
        "How thick the film is",
        _svg(made, prefer, WIDE),
        _svg(made, prefer, NARROW) if narrow else "",
        film_view(made, prefer).worst,
        _caption(made, prefer),
    )


def film_png(made: EngineFilm, prefer: Preferences) -> bytes:
    """The wide picture as PNG, the same bytes each time."""
    out = io.BytesIO()
    with style(WIDE):
        _figure(made, prefer, WIDE).savefig(out, format="png", dpi=150, metadata={"Software": None})
    return out.getvalue()


def drawn_ceilings(made: EngineFilm) -> tuple[Ceiling, ...]:
    """Ceilings with load, one for each place in the picture, in the plan's order."""
    seen: dict[tuple[float, float], Ceiling] = {}
    for one in made.ceilings:
        if one.loaded:
            seen.setdefault((one.speed, one.intake), one)
    return tuple(seen.values())


def _caption(made: EngineFilm, prefer: Preferences) -> str:
    rough = made.map.rough
    full = rough.full_film * rough.run_in
    text = (
        "Thinnest film of any bearing over the cycle, as so many times the roughness of a run-in "
        f"shell with its journal ({rough.run_in * 1e6:.2f} µm): the darker, the thinner. Thick "
        f"lines: {rough.full_film:g} times ({full * 1e6:.2f} µm) and {rough.boundary:g} times. "
        "Cross: thinnest of all. Hatched: out of reach, or not shown."
    )
    if drawn_ceilings(made):
        names = (
            f"{i} {one.title}, {show(Quantity(one.speed, Kind.ROTATIONAL_SPEED), prefer)}"
            for i, one in enumerate(drawn_ceilings(made), 1)
        )
        text += f" Corners, with their numbers: the ceilings of the plan: {listed(list(names))}."
    return text


def _svg(made: EngineFilm, prefer: Preferences, size: Size) -> str:
    with style(size):
        return svg(_figure(made, prefer, size), f"film-{'s' if size.narrow else 'w'}")


def _figure(made: EngineFilm, prefer: Preferences, size: Size) -> Figure:
    count = len(made.map.temperature)
    rows, columns = (count, 1) if size.narrow else (-(-count // 2), 2)
    height = 2.3 * rows + 0.9 if size.narrow else 3.3 * rows + 0.9
    figure = Figure(figsize=(size.width, height), layout="constrained")
    panels = figure.subplots(rows, columns, sharex=True, sharey=True, squeeze=False)
    drawn: QuadContourSet | None = None
    for t, ax in enumerate(panels.flat):
        if t >= count:
            ax.set_visible(False)
            continue
        drawn = _panel(ax, made, prefer, t, size)
        ax.label_outer()
    if drawn is not None:
        bar = figure.colorbar(
            drawn, ax=panels, location="bottom", ticks=_LEVELS[:-1], spacing="uniform",
            aspect=40 if not size.narrow else 25, pad=0.02,
        )  # fmt: skip
        bar.ax.set_xticklabels([f"{level:g}" for level in _LEVELS[:-1]])
        bar.set_label("Film over roughness", fontsize=size.text)
    return figure


def _panel(ax: Axes, made: EngineFilm, prefer: Preferences, t: int, size: Size) -> QuadContourSet:
    found = made.map
    rpm, load = _rpm(found.speed), _loads(made, prefer)
    ratio = np.ma.masked_invalid(found.ratio[..., t].T)
    ax.grid(visible=False)
    ax.add_patch(
        Rectangle((0, 0), 1, 1, transform=ax.transAxes, facecolor="white", edgecolor=GRID,
                  hatch="////", linewidth=0, zorder=0)
    )  # fmt: skip
    filled = ax.contourf(
        rpm, load, ratio, levels=_LEVELS, cmap=_SHADES, norm=BoundaryNorm(_LEVELS, _SHADES.N)
    )
    marks = [found.rough.boundary, found.rough.full_film]
    lines = ax.contour(rpm, load, ratio, levels=marks, colors=[INK], linewidths=[2.2])
    texts = ax.clabel(
        lines,
        fmt=lambda level: f"{level:g} ×",
        fontsize=size.text * 0.85,
    )
    for text in texts:
        text.set_bbox(_ON_WHITE)
    _ceilings(ax, made, prefer, size)
    _worst(ax, made, prefer, t)
    oil = show(Quantity(float(found.temperature[t]), Kind.TEMPERATURE), prefer)
    ax.set_title(f"Oil {oil}", loc="left", fontsize=size.text, fontweight="bold")
    ax.set_xlabel("Engine speed, rpm")
    ax.xaxis.set_major_formatter(lambda x, _: f"{x:,.0f}")
    unit = prefer.unit(Kind.ABSOLUTE_PRESSURE)
    fuel = found.loads[0].kind is Kind.FRACTION
    ax.set_ylabel("Fuel, % of most" if fuel else f"Intake, {unit} abs")
    ax.tick_params(length=0)
    return filled


def _ceilings(ax: Axes, made: EngineFilm, prefer: Preferences, size: Size) -> None:
    left, bottom = float(_rpm(made.map.speed)[0]), float(_loads(made, prefer)[0])
    for number, one in enumerate(drawn_ceilings(made), 1):
        x = float(_rpm(np.array([one.speed]))[0])
        y = _height(made, prefer, one.intake)
        ax.plot([left, x, x], [y, y, bottom], color=FAINT, linewidth=2.6, zorder=3)
        ax.plot([left, x, x], [y, y, bottom], color="white", linewidth=1.2, zorder=3,
                linestyle=(0, (4, 2)))  # fmt: skip
        ax.annotate(
            str(number), (x, bottom), xytext=(-3, 4), textcoords="offset points", ha="right",
            va="bottom", fontsize=size.text * 0.85, fontweight="bold", bbox=_ON_WHITE, zorder=5,
        )  # fmt: skip


def _worst(ax: Axes, made: EngineFilm, prefer: Preferences, t: int) -> None:
    worst = made.map.worst
    if worst is None or worst.temperature != made.map.temperature[t]:
        return
    at = _loads(made, prefer)[made.map.loads.index(worst.load)]
    for colour, width in (("white", 5.0), (BROKEN, 2.6)):
        ax.plot(
            _rpm(np.array([worst.speed])), [at], "x", color=colour, markersize=11,
            markeredgewidth=width, zorder=6, clip_on=False,
        )  # fmt: skip


def _height(made: EngineFilm, prefer: Preferences, intake: float) -> float:
    """Where an intake pressure lies on the axis of loads."""
    axis = _loads(made, prefer)
    if made.map.loads[0].kind is Kind.FRACTION and intake <= made.map.intake[made.map.full]:
        return float(axis[made.map.full])
    return float(np.interp(intake, made.map.intake, axis))


def _loads(made: EngineFilm, prefer: Preferences) -> Floats:
    return np.array([shown_value(load, prefer)[0] for load in made.map.loads])


def _rpm(speed: Floats) -> Floats:
    return speed * shown_value(Quantity(1.0, Kind.ROTATIONAL_SPEED), Preferences())[0]
