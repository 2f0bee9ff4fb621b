"""Where the engine worked: seconds in each cell of engine speed against load."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, PowerNorm
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from witnessmark.checks.load_map import LoadMap
from witnessmark.jobs.review import Review
from witnessmark.model.log import Floats
from witnessmark.report.drawing import INK, NARROW, WIDE, Chart, Size, style, svg
from witnessmark.report.words import plain, title
from witnessmark.units import Kind, Preferences, Quantity, show, shown_value

# One hue from paper to ink: it prints in grey and reads the same for every eye. In 40 steps, so
# that the scale beside the map is drawn in lines and not as a small photograph.
_SHADES = LinearSegmentedColormap.from_list(
    "petrol", ["#f3f7f7", "#b9d3d6", "#6fa3ac", "#2c6f7c", "#0c3b47"], N=40
)
_NUMBERED = 220  # cells; with more, the seconds no longer fit inside them


def load_chart(review: Review, prefer: Preferences, narrow: bool) -> Chart | None:
    """The load map as a chart; None when the log shows no engine speed or no load."""
    cells = review.load_map
    if cells is None or not cells.seconds.size:
        return None
    counted = cells.cells
    caption = (
        f"Seconds in each cell. Outlined: cells with {_time(cells.counted)} or more, which "
        f"count as visited ({counted} of {cells.seconds.size})."
    )
    return Chart(
        "load",
        "Where the engine worked",
        _draw(cells, prefer, WIDE),
        _draw(cells, prefer, NARROW) if narrow else "",
        _in_words(cells, prefer, counted),
        caption,
    )


def _draw(cells: LoadMap, prefer: Preferences, size: Size) -> str:
    speed = _shown(cells.speed_edges, Kind.ROTATIONAL_SPEED, prefer)
    load = _shown(cells.load_edges, cells.load_kind, prefer)
    seconds = cells.seconds.T
    with style(size):
        figure = Figure(figsize=(size.width, 3.9 if size.narrow else 4.6), layout="constrained")
        ax = figure.subplots()
        ax.grid(visible=False)
        norm = PowerNorm(0.5, vmin=0.0, vmax=max(float(seconds.max()), cells.counted))
        seen = np.ma.masked_less_equal(seconds, 0.0)
        mesh = ax.pcolormesh(
            speed, load, seen, cmap=_SHADES, norm=norm, edgecolors="#d9dee2", linewidth=0.5
        )
        _outline(ax, cells, speed, load)
        if not size.narrow and cells.seconds.size <= _NUMBERED:
            _numbers(ax, seconds, speed, load, norm)
        _axes(ax, cells, prefer)
        bar = figure.colorbar(mesh, ax=ax, pad=0.02, aspect=30)
        bar.set_label("seconds")
        bar.outline.set_visible(False)
        bar.ax.tick_params(length=0)
        return svg(figure, f"load-{'s' if size.narrow else 'w'}")


def _outline(ax: Axes, cells: LoadMap, speed: Floats, load: Floats) -> None:
    for i, j in np.argwhere(cells.seconds >= cells.counted):
        width, height = speed[i + 1] - speed[i], load[j + 1] - load[j]
        ax.add_patch(
            Rectangle(
                (speed[i], load[j]), width, height, fill=False, edgecolor=INK, linewidth=1.8,
                joinstyle="miter",
            )
        )  # fmt: skip


def _numbers(ax: Axes, seconds: Floats, speed: Floats, load: Floats, norm: PowerNorm) -> None:
    middle_x, middle_y = (speed[1:] + speed[:-1]) / 2, (load[1:] + load[:-1]) / 2
    for j, i in np.argwhere(seconds >= 0.5):
        dark = float(norm(seconds[j, i])) > 0.63  # where white reads better than ink
        ax.text(
            middle_x[i], middle_y[j], f"{seconds[j, i]:,.0f}", ha="center", va="center",
            color="white" if dark else INK, fontsize="small",
        )  # fmt: skip


def _axes(ax: Axes, cells: LoadMap, prefer: Preferences) -> None:
    unit = shown_value(Quantity(0.0, cells.load_kind), prefer)[1]
    absolute = " abs" if cells.load_kind is Kind.ABSOLUTE_PRESSURE else ""
    ax.set_xlabel("Engine speed, rpm")
    ax.set_title(
        f"{title(cells.load)}, {unit}{absolute}", loc="left", fontweight="bold",
        fontsize="medium",
    )  # fmt: skip
    ax.xaxis.set_major_formatter(lambda x, _: f"{x:,.0f}")
    ax.tick_params(length=0)


def _shown(values: Floats, kind: Kind, prefer: Preferences) -> Floats:
    return np.array([shown_value(Quantity(float(v), kind), prefer)[0] for v in values])


def _in_words(cells: LoadMap, prefer: Preferences, counted: int) -> str:
    i, j = np.unravel_index(int(cells.seconds.argmax()), cells.seconds.shape)
    speeds = [
        show(Quantity(float(cells.speed_edges[k]), Kind.ROTATIONAL_SPEED), prefer)
        for k in (i, i + 1)
    ]
    loads = [
        show(Quantity(float(cells.load_edges[k]), cells.load_kind), prefer) for k in (j, j + 1)
    ]
    return (
        f"Time by engine speed and {plain(cells.load)}. {counted} of {cells.seconds.size} cells "
        f"hold {_time(cells.counted)} or more. Most time, {_time(float(cells.seconds[i, j]))}, "
        f"from {speeds[0]} to {speeds[1]} and {loads[0]} to {loads[1]}."
    )


def _time(seconds: float) -> str:
    return show(Quantity(seconds, Kind.DURATION), Preferences())
