"""Pictures of docs/explanation/oil.md: `python docs/figures/oil.py` writes docs/pictures/oil-*.svg.

The oils are made-up examples with ordinary numbers, not products.
"""

from pathlib import Path

import matplotlib as mpl

mpl.use("svg")

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from witnessmark.physics.oil.cold import cranking_bound
from witnessmark.physics.oil.dilution import RULES, Diluent
from witnessmark.physics.oil.grades import limits
from witnessmark.physics.oil.index import kv40_of_index
from witnessmark.physics.oil.oil import Oil, oil_from_data
from witnessmark.physics.oil.shear import carreau, carreau_time

PICTURES = Path(__file__).parents[1] / "pictures"
ZERO = 273.15
# Okabe and Ito's colours, told apart by every common kind of colour blindness.
BLUE, ORANGE, GREEN, PURPLE, BLACK = "#0072B2", "#E69F00", "#009E73", "#CC79A7", "#000000"
mpl.rcParams.update({"svg.hashsalt": "oil", "font.size": 9, "axes.grid": True, "grid.alpha": 0.3})


def example(kv100: float, index: float, hths: float | None = None) -> Oil:
    """Made-up oil of a viscosity [mm²/s], an index and an HTHS viscosity [mPa s]."""
    kv40 = kv40_of_index(kv100 * 1e-6, index)
    return oil_from_data(kv40, kv100 * 1e-6, 860.0, hths and hths * 1e-3)


EXAMPLES = [
    ("0W-20", example(8.2, 170), BLUE),
    ("5W-30", example(10.9, 170), ORANGE),
    ("15W-40", example(14.5, 135), GREEN),
    ("20W-50", example(18.5, 125), PURPLE),
]


def over_temperature() -> Figure:
    """Viscosity over temperature, with what J300 limits."""
    figure, axes = plt.subplots(figsize=(7, 4.6), layout="constrained")
    warm = np.linspace(0, 200, 201)
    for place, (name, oil, colour) in enumerate(EXAMPLES):
        grade = limits(name)
        axes.semilogy(warm, oil.dynamic(warm + ZERO) * 1e3, color=colour, label=name)
        if grade.cranking:
            coldest = grade.cranking.temperature - ZERO
            cold = np.linspace(coldest, 0, 50)
            bound = cranking_bound(oil, grade, cold + ZERO)
            axes.semilogy(cold, bound * 1e3, color=colour, linestyle=":")
            axes.plot(coldest, grade.cranking.viscosity * 1e3, "v", color=colour)
        if grade.kv100_max:
            ends = np.array([grade.kv100_min, grade.kv100_max]) * oil.density(100 + ZERO) * 1e3
            side = 97 + 2 * place  # beside each other, or neighbours would run together
            axes.plot(
                [side, side], ends, color=colour, linewidth=4, alpha=0.6, solid_capstyle="butt"
            )
        if grade.hths_min:
            axes.plot(150, grade.hths_min * 1e3, "^", color=colour)
    axes.plot([], [], ":", color=BLACK, label="upper bound, cranking")
    axes.plot([], [], "v", color=BLACK, label="cranking limit (at most)")
    axes.plot([], [], color=BLACK, linewidth=4, alpha=0.6, label="grade's band at 100 °C")
    axes.plot([], [], "^", color=BLACK, label="HTHS limit (at least)")
    axes.set(xlabel="oil temperature [°C]", ylabel="viscosity [mPa s]", xlim=(-40, 200))
    axes.legend()
    return figure


def over_shear() -> Figure:
    """Viscosity over shear rate of one oil at three temperatures."""
    figure, axes = plt.subplots(figsize=(7, 4.2), layout="constrained")
    rate = np.geomspace(1e3, 1e8, 300)
    kv40 = kv40_of_index(10.9e-6, 170)
    for celsius, colour in ((60, BLUE), (100, ORANGE), (150, GREEN)):
        floors = [
            oil_from_data(kv40, 10.9e-6, 860.0, 3.0e-3, floor).dynamic(celsius + ZERO, rate) * 1e3
            for floor in (0.3, 0.5, 0.7)
        ]
        axes.loglog(rate, floors[1], color=colour, label=f"{celsius} °C, Cross")
        axes.fill_between(rate, floors[0], floors[2], color=colour, alpha=0.2)
    rest = float(oil_from_data(kv40, 10.9e-6, 860.0).dynamic(150 + ZERO))
    time = carreau_time(rest, rest / 2, 3.0e-3)
    bent = carreau(rest, rest / 2, time, rate)
    axes.loglog(rate, np.asarray(bent) * 1e3, "--", color=BLACK, label="150 °C, Carreau")
    axes.plot(1e6, 3.0, "o", color=BLACK, label="HTHS, by which both are tied")
    axes.set(xlabel="shear rate [1/s]", ylabel="viscosity [mPa s]", yticks=[2, 3, 5, 10, 20, 30])
    axes.yaxis.set_major_formatter("{x:g}")
    axes.yaxis.set_minor_formatter("")
    axes.legend()
    return figure


def over_fuel() -> Figure:
    """What 0 to 10 % of petrol leaves of one oil's viscosity, by each rule."""
    figure, both = plt.subplots(1, 2, figsize=(7, 3.8), sharey=True, layout="constrained")
    oil, petrol = example(10.9, 170), Diluent(0.60e-6, 0.45e-6, 745.0)
    share = np.linspace(0, 0.10, 101)
    for axes, celsius, fuel in zip(both, (40, 100), (petrol.kv40, petrol.kv100), strict=True):
        _draw_rules(axes, oil.kinematic(celsius + ZERO), fuel, share)
        axes.set(title=f"{celsius} °C", xlabel="petrol in the oil [% by mass]")
    both[0].set_ylabel("viscosity [% of the fresh oil's]")
    both[1].legend()
    return figure


def _draw_rules(axes: Axes, fresh: float, fuel: float, share: np.ndarray) -> None:
    left = {name: 100 * rule(fresh, fuel, share) / fresh for name, rule in RULES.items()}
    axes.fill_between(
        100 * share,
        np.min(list(left.values()), axis=0),
        np.max(list(left.values()), axis=0),
        color=BLACK,
        alpha=0.12,
    )
    looks = zip((BLUE, GREEN, ORANGE, PURPLE), ("-", "-.", "-", "--"), strict=True)
    for (name, y), (colour, line) in zip(left.items(), looks, strict=True):
        axes.plot(100 * share, y, line, color=colour, label=name)
    axes.axvline(5, color=BLACK, linewidth=0.8)


def main() -> None:
    """Write the pictures; the same code writes the same bytes."""
    for name, draw in (
        ("viscosity", over_temperature),
        ("shear", over_shear),
        ("dilution", over_fuel),
    ):
        figure = draw()
        figure.savefig(PICTURES / f"oil-{name}.svg", metadata={"Date": None, "Creator": None})
        plt.close(figure)


if __name__ == "__main__":
    main()
