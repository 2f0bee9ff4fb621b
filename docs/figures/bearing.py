"""Pictures of the film part of docs/explanation/bearing.md.

`python docs/figures/bearing.py` writes docs/pictures/bearing-*.svg. The bearing is made up.
"""

from pathlib import Path

import matplotlib as mpl

mpl.use("svg")

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from witnessmark.physics.bearing.mobility import mobility
from witnessmark.physics.bearing.reynolds import FilmSolver
from witnessmark.physics.bearing.short import short_mobility, short_sommerfeld
from witnessmark.physics.bearing.steady import eccentricity_at, steady

PICTURES = Path(__file__).parents[1] / "pictures"
# Okabe and Ito's colours, told apart by every common kind of colour blindness.
BLUE, ORANGE, GREEN, PURPLE, BLACK = "#0072B2", "#E69F00", "#009E73", "#CC79A7", "#000000"
mpl.rcParams.update({"svg.hashsalt": "bearing", "font.size": 9, "axes.grid": True})
mpl.rcParams["grid.alpha"] = 0.3
# Raimondi and Boyd (1958), from memory: L/D -> (e, S).
PUBLISHED = {
    0.25: ((0.2, 7.57), (0.4, 2.83), (0.6, 1.07), (0.8, 0.261), (0.9, 0.0736), (0.97, 0.0101)),
    0.5: ((0.2, 2.03), (0.4, 0.779), (0.6, 0.319), (0.8, 0.0923), (0.9, 0.0313), (0.97, 0.00609)),
    1.0: ((0.2, 0.631), (0.4, 0.264), (0.6, 0.121), (0.8, 0.0446), (0.9, 0.0188), (0.97, 0.00474)),
}
LENGTHS = ((0.25, BLUE, "-"), (0.5, ORANGE, "--"), (1.0, GREEN, "-."))


def film_and_pressure() -> Figure:
    """Pressure at mid width and film thickness around one bearing, light and heavy load."""
    figure, both = plt.subplots(1, 2, figsize=(7, 3.4), layout="constrained")
    for e, colour, line in ((0.4, BLUE, "-"), (0.8, ORANGE, "--"), (0.9, GREEN, "-.")):
        solver = FilmSolver(e, 0.4, 360, 16)
        film = solver.solve(0.0, -e, ambient_at_widest=True)
        degrees = np.degrees(solver.angle)
        mean = np.hypot(film.toward, film.along) / 2
        both[0].plot(degrees, film.pressure[:, 0] / mean, line, color=colour, label=f"e = {e:g}")
        both[1].plot(degrees, solver.film, line, color=colour, label=f"e = {e:g}")
    both[0].set(ylabel="pressure at mid width / (load / L D) [-]")
    both[1].set(ylabel="film / clearance [-]")
    for axes in both:
        axes.set(xlabel="angle from thinnest film [°]", xticks=[-180, -90, 0, 90, 180])
    both[0].legend()
    return figure


def load_over_short_theory() -> Figure:
    """What the short theory promises over what the film carries; film left at equal load."""
    figure, both = plt.subplots(1, 2, figsize=(7, 3.6), layout="constrained")
    e = np.linspace(0.05, 0.985, 200)
    for ratio, colour, line in LENGTHS:
        label = f"L/D = {ratio:g}"
        over = steady(e, ratio).sommerfeld / short_sommerfeld(e, ratio)
        both[0].semilogy(e, over, line, color=colour, label=label)
        points = np.array(PUBLISHED[ratio])
        published = points[:, 1] / short_sommerfeld(points[:, 0], ratio)
        both[0].plot(points[:, 0], published, "o", color=colour, markersize=4)
        real = 1 - eccentricity_at(short_sommerfeld(e, ratio), ratio)
        both[1].plot(1 - e, real / (1 - e), line, color=colour, label=label)
    both[0].set(xlabel="eccentricity [-]", ylabel="short theory's load / film's load [-]")
    both[1].set(xlabel="film the short theory promises / c [-]", xscale="log", ylim=(0, 1))
    both[1].set(ylabel="film there is / film promised [-]")
    both[0].legend()
    return figure


def mobility_maps() -> Figure:
    """Which way and how fast a load drives the journal, real film and short theory."""
    figure, both = plt.subplots(1, 2, figsize=(7, 3.8), sharey=True, layout="constrained")
    for axes, move, title in zip(
        both, (mobility, short_mobility), ("film of finite length", "short theory"), strict=True
    ):
        _draw_map(axes, move, title)
    both[0].set_ylabel("offset along the load / c [-]")
    return figure


def _draw_map(axes: Axes, move: object, title: str) -> None:
    assert callable(move)
    side = np.linspace(-1, 1, 161)
    across, along = np.meshgrid(side, side)
    inside = np.hypot(across, along) < 0.985
    toward, sideways = move(np.where(inside, along, 0), np.where(inside, across, 0), 0.4)
    toward, sideways = (np.where(inside, part, np.nan) for part in (toward, sideways))
    size = np.hypot(toward, sideways)
    levels = [0.01, 0.03, 0.1, 0.3, 1, 2, 4, 8]
    lines = axes.contour(across, along, size, levels=levels, colors=BLUE, linewidths=0.8)
    axes.clabel(lines, fontsize=7, fmt="%g")
    axes.streamplot(side, side, sideways, toward, color=ORANGE, density=0.7, linewidth=0.7)
    axes.add_patch(plt.Circle((0, 0), 1, fill=False, color=BLACK))
    axes.set(title=title, xlabel="offset across the load / c [-]", aspect="equal")
    axes.set(xlim=(-1.05, 1.05), ylim=(-1.05, 1.05))


def main() -> None:
    """Write the pictures; the same code writes the same bytes."""
    for name, draw in (
        ("film", film_and_pressure),
        ("short-theory", load_over_short_theory),
        ("mobility", mobility_maps),
    ):
        figure = draw()
        figure.savefig(PICTURES / f"bearing-{name}.svg", metadata={"Date": None, "Creator": None})
        plt.close(figure)


if __name__ == "__main__":
    main()
