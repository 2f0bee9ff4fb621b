"""Where the engine worked: seconds in each cell of engine speed against load, and what is missing.

Shade tells how long. Pattern tells the rest, so that it prints in grey: a heavy frame is covered,
dots were driven too briefly, slanted lines are still to be driven, bare is not asked for.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, PowerNorm
from matplotlib.figure import Figure
from matplotlib.patches import Patch, Rectangle
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from witnessmark.checks.driving.coverage import Coverage
from witnessmark.checks.driving.load_map import LoadMap
from witnessmark.jobs.review import Review
from witnessmark.model.log import Floats
from witnessmark.report.drawing import (
    BROKEN,
    FAINT,
    INK,
    NARROW,
    ON_WHITE,
    WIDE,
    Chart,
    Size,
    style,
    svg,
)
from witnessmark.report.words import plain, title
from witnessmark.units import Kind, Preferences, Quantity, show, shown_value

# One hue from paper to ink: it prints in grey and reads the same for every eye. In 40 steps, so
# that the scale beside the map is drawn in lines and not as a small photograph.
_SHADES = LinearSegmentedColormap.from_list(
    "petrol", ["#f3f7f7", "#b9d3d6", "#6fa3ac", "#2c6f7c", "#0c3b47"], N=40
)
_COVERED, _THIN, _MISSING = "covered", "too brief", "still to drive"
_HATCHES = {_COVERED: "", _THIN: "...", _MISSING: "///"}
_NUMBERED = {False: 220, True: 70}  # cells, wide and narrow; more and the seconds do not fit


@dataclass(frozen=True)
class _Grid:
    """The map and what the phase asks for on one grid. Shapes as LoadMap."""

    speed: Floats
    load: Floats
    seconds: Floats
    reachable: NDArray[np.bool_]


def load_chart(review: Review, prefer: Preferences, narrow: bool) -> Chart | None:
    """The load map as a chart; None when the log shows no engine speed or no load."""
    cells = review.load_map
    if cells is None or not cells.seconds.size:
        return None
    cover = review.coverage
    caption = (
        f"Seconds in each cell. Heavy frame: {_time(cells.counted)} or more, which counts as "
        f"driven ({cells.cells} of {cells.seconds.size})."
    )
    if cover is not None:
        caption += (
            " Dots: driven, but too briefly. Slanted lines: the phase reaches it and it is still "
            f"to be driven. {int(cover.covered.sum())} of the {int(cover.reachable.sum())} cells "
            "the phase reaches are covered. Bare cells are not asked for."
        )
    return Chart(
        "load",
        "Where the engine worked",
        _draw(review, cells, prefer, WIDE),
        _draw(review, cells, prefer, NARROW) if narrow else "",
        _in_words(cells, cover, prefer),
        caption,
    )


def _draw(review: Review, cells: LoadMap, prefer: Preferences, size: Size) -> str:
    grid, cover = _joined(cells, review.coverage), review.coverage
    speed = _shown(grid.speed, Kind.ROTATIONAL_SPEED, prefer)
    load = _shown(grid.load, cells.load_kind, prefer)
    seconds = grid.seconds.T
    numbered = grid.seconds.size <= _NUMBERED[size.narrow]
    with style(size):
        figure = Figure(figsize=(size.width, 4.2 if size.narrow else 5.0), layout="constrained")
        ax = figure.subplots()
        ax.grid(visible=False)
        norm = PowerNorm(0.5, vmin=0.0, vmax=max(float(seconds.max()), cells.counted))
        seen = np.ma.masked_less_equal(seconds, 0.0)
        mesh = ax.pcolormesh(
            speed, load, seen, cmap=_SHADES, norm=norm, edgecolors="#d9dee2", linewidth=0.5
        )
        top = float(_shown(np.array([cover.top if cover else np.inf]), cells.load_kind, prefer)[0])
        _patterns(ax, grid, cells.counted, speed, load, top)
        if numbered:
            _numbers(ax, seconds, speed, load, norm)
        else:
            bar = figure.colorbar(mesh, ax=ax, pad=0.02, aspect=30)
            bar.set_label("seconds")
            bar.outline.set_visible(False)
            bar.ax.tick_params(length=0)
        _ceilings(ax, review, cells, prefer)
        _axes(ax, cells, prefer, size)
        _legend(figure, cover is not None, size)
        return svg(figure, f"load-{'s' if size.narrow else 'w'}")


def _joined(cells: LoadMap, cover: Coverage | None) -> _Grid:
    """The smallest grid that holds both the map and what the phase asks for."""
    if cover is None:
        asked = np.zeros(cells.seconds.shape, dtype=bool)
        return _Grid(cells.speed_edges, cells.load_edges, cells.seconds, asked)
    speed, load = (
        _union(mine, theirs)
        for mine, theirs in (
            (cells.speed_edges, cover.speed_edges), (cells.load_edges, cover.load_edges),
        )
    )  # fmt: skip
    shape = (len(speed) - 1, len(load) - 1)
    seconds, reachable = np.zeros(shape), np.zeros(shape, dtype=bool)
    _put(seconds, cells.seconds, speed, load, cells.speed_edges, cells.load_edges)
    _put(reachable, cover.reachable, speed, load, cover.speed_edges, cover.load_edges)
    return _Grid(speed, load, seconds, reachable)


def _union(one: Floats, other: Floats) -> Floats:
    width = one[1] - one[0]
    first = min(one[0], other[0])
    steps = round((max(one[-1], other[-1]) - first) / width)
    return np.asarray(first + np.arange(steps + 1) * width)


def _put(
    into: NDArray[Any], part: NDArray[Any], speed: Floats, load: Floats, rows: Floats,
    columns: Floats,
) -> None:  # fmt: skip
    i, j = (
        round((mine[0] - all_of[0]) / (all_of[1] - all_of[0]))
        for mine, all_of in ((rows, speed), (columns, load))
    )
    into[i : i + part.shape[0], j : j + part.shape[1]] = part


def _patterns(
    ax: Axes, grid: _Grid, counted: float, speed: Floats, load: Floats, top: float
) -> None:
    """Frames and hatches, heavy frames over the rest; nothing is asked for over `top`."""
    covered = grid.seconds >= counted
    thin = grid.reachable & ~covered & (grid.seconds > 0)
    missing = grid.reachable & ~covered & ~thin
    for kind, mask in ((_MISSING, missing), (_THIN, thin), (_COVERED, covered)):
        for i, j in np.argwhere(mask):
            upper = load[j + 1] if kind == _COVERED else min(load[j + 1], top)
            width, height = speed[i + 1] - speed[i], upper - load[j]
            ax.add_patch(Rectangle((speed[i], load[j]), width, height, **_look(kind)))


def _look(kind: str) -> Any:
    heavy = kind == _COVERED
    return {
        "fill": False, "hatch": _HATCHES[kind], "joinstyle": "miter",
        "edgecolor": INK if heavy else FAINT, "linewidth": 1.8 if heavy else 0.6,
    }  # fmt: skip


def _legend(figure: Figure, asked: bool, size: Size) -> None:
    kinds = (_COVERED, _THIN, _MISSING) if asked else (_COVERED,)
    figure.legend(
        [Patch(**_look(kind)) for kind in kinds], kinds, loc="outside lower center",
        ncols=len(kinds), frameon=False, fontsize="small", handlelength=1.8, handleheight=1.3,
        columnspacing=1.0 if size.narrow else 2.0,
    )  # fmt: skip


def _ceilings(ax: Axes, review: Review, cells: LoadMap, prefer: Preferences) -> None:
    """The speed ceiling as a line, and the boost ceiling where load is manifold pressure."""
    speed, boost = (review.phase.ceilings.get(name) for name in ("engine_speed", "boost"))
    if speed is not None:
        at = shown_value(speed.value, prefer)[0]
        ax.axvline(at, color=BROKEN, linewidth=1.8)
        _name(ax, f"ceiling {show(speed.value, prefer)}", (at, 1.0), ("data", "axes fraction"))
    cover = review.coverage
    if cover is not None and boost is not None and cells.load_kind is Kind.ABSOLUTE_PRESSURE:
        at = shown_value(Quantity(cover.top, cells.load_kind), prefer)[0]
        ax.axhline(at, color=BROKEN, linewidth=1.8)
        name = f"boost ceiling {show(boost.value, prefer)}"
        _name(ax, name, (0.01, at), ("axes fraction", "data"), left=True)


def _name(
    ax: Axes, name: str, at: tuple[float, float], of: tuple[str, str], *, left: bool = False
) -> None:
    ax.annotate(
        name, at, xycoords=of, xytext=(3 if left else -3, 2), textcoords="offset points",
        color=BROKEN, ha="left" if left else "right", va="bottom", fontsize="small",
        bbox=ON_WHITE, annotation_clip=False,
    )  # fmt: skip


def _numbers(ax: Axes, seconds: Floats, speed: Floats, load: Floats, norm: PowerNorm) -> None:
    middle_x, middle_y = (speed[1:] + speed[:-1]) / 2, (load[1:] + load[:-1]) / 2
    for j, i in np.argwhere(seconds >= 0.5):
        dark = float(norm(seconds[j, i])) > 0.63  # where white reads better than ink
        ax.text(
            middle_x[i], middle_y[j], f"{seconds[j, i]:,.0f}", ha="center", va="center",
            color="white" if dark else INK, fontsize="small",
            bbox=None if dark else {**ON_WHITE, "facecolor": _SHADES(norm(seconds[j, i]))},
        )  # fmt: skip


def _axes(ax: Axes, cells: LoadMap, prefer: Preferences, size: Size) -> None:
    unit = shown_value(Quantity(0.0, cells.load_kind), prefer)[1]
    absolute = " abs" if cells.load_kind is Kind.ABSOLUTE_PRESSURE else ""
    ax.set_xlabel("Engine speed, rpm")
    ax.set_title(
        f"{title(cells.load)}, {unit}{absolute}", loc="left", fontweight="bold",
        fontsize="medium", pad=14,
    )  # fmt: skip
    ax.xaxis.set_major_locator(MaxNLocator(5 if size.narrow else 10, steps=[1, 2, 5, 10]))
    ax.xaxis.set_major_formatter(lambda x, _: f"{x:,.0f}")
    ax.tick_params(length=0)


def _shown(values: Floats, kind: Kind, prefer: Preferences) -> Floats:
    return np.array([shown_value(Quantity(float(v), kind), prefer)[0] for v in values])


def _in_words(cells: LoadMap, cover: Coverage | None, prefer: Preferences) -> str:
    i, j = np.unravel_index(int(cells.seconds.argmax()), cells.seconds.shape)
    speeds = [
        show(Quantity(float(cells.speed_edges[k]), Kind.ROTATIONAL_SPEED), prefer)
        for k in (i, i + 1)
    ]
    loads = [
        show(Quantity(float(cells.load_edges[k]), cells.load_kind), prefer) for k in (j, j + 1)
    ]
    missing = ""
    if cover is not None:
        missing = (
            f" Of {int(cover.reachable.sum())} cells the phase reaches, "
            f"{int(cover.missing.sum())} are still to be driven."
        )
    return (
        f"Time by engine speed and {plain(cells.load)}. {cells.cells} of {cells.seconds.size} "
        f"cells hold {_time(cells.counted)} or more. Most time, "
        f"{_time(float(cells.seconds[i, j]))}, from {speeds[0]} to {speeds[1]} and {loads[0]} to "
        f"{loads[1]}.{missing}"
    )


def _time(seconds: float) -> str:
    return show(Quantity(seconds, Kind.DURATION), Preferences())
