"""Pictures for 'Feed and heat' of docs/explanation/bearing.md.

`python docs/figures/bearing_feed.py` writes docs/pictures/bearing_feed-*.svg. Bearing and oil are
made-up examples with ordinary numbers.
"""

from pathlib import Path

import matplotlib as mpl

mpl.use("svg")

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from witnessmark.physics.bearing.feed import leak_conductance
from witnessmark.physics.bearing.thermal import (
    Journal,
    fed_flow,
    groove_flow,
    settle,
    side_flow,
    through_flow,
)
from witnessmark.physics.oil.oil import oil_from_data

PICTURES = Path(__file__).parents[1] / "pictures"
# Okabe and Ito's colours, told apart by every common kind of colour blindness.
BLUE, ORANGE, GREEN, PURPLE = "#0072B2", "#E69F00", "#009E73", "#CC79A7"
mpl.rcParams.update(
    {"svg.hashsalt": "bearing_feed", "font.size": 9, "axes.grid": True, "grid.alpha": 0.3}
)

SIZES = {"diameter": 0.048, "length": 0.018, "groove": 0.003, "hole": 0.005}  # m
FEEDS = [
    ("groove all round", 2 * np.pi, BLUE, "-"),
    ("groove in the upper half", np.pi, ORANGE, "--"),
    ("one 5 mm hole", 0.0, GREEN, "-."),
]
PRESSURE, VISCOSITY = 3e5, 0.008  # Pa, Pa s
PER_MINUTE = 60e3  # m³/s to L/min


def leakage() -> Figure:
    """Flow by feed pressure over clearance and over eccentricity."""
    figure, (over_gap, over_offset) = plt.subplots(1, 2, figsize=(7, 3.8), layout="constrained")
    clearance, offset = np.linspace(10e-6, 50e-6, 200), np.linspace(0, 0.95, 200)
    for name, arc, colour, line in FEEDS:
        flow = PRESSURE / VISCOSITY * PER_MINUTE
        by_gap = flow * leak_conductance(clearance, 0.6, groove_arc=arc, **SIZES)
        by_offset = flow * leak_conductance(25e-6, offset, groove_arc=arc, **SIZES)
        over_gap.plot(clearance * 1e6, by_gap, line, color=colour, label=name)
        over_offset.plot(offset, by_offset, line, color=colour)
    over_gap.set(xlabel="radial clearance [µm]", ylabel="flow [L/min]", title="eccentricity 0.6")
    over_offset.set(xlabel="eccentricity [-]", ylabel="flow [L/min]", title="clearance 25 µm")
    over_gap.legend()
    return figure


def heat() -> Figure:
    """Film over inlet temperature, by speed, for four ways the heat may leave."""
    oil = oil_from_data(61.7e-6, 10.9e-6, 855.0, 2.9e-3)
    plain, parted = Journal(0.048, 0.018, 25e-6), Journal(0.048, 0.0075, 25e-6, lands=2)
    rpm = np.linspace(600, 6500, 120)

    def hole(eccentricity: NDArray[np.float64]) -> NDArray[np.float64]:
        return leak_conductance(25e-6, eccentricity, **SIZES)

    cases = [
        ("groove all round, 3 bar", parted, groove_flow(PRESSURE), BLUE, "-"),
        ("hole, 3 bar (not confirmed)", plain, fed_flow(PRESSURE, hole), GREEN, "-."),
        ("side flow only", plain, side_flow, ORANGE, "--"),
        ("Raimondi and Boyd's balance", plain, through_flow, PURPLE, ":"),
    ]
    figure, axes = plt.subplots(figsize=(7, 3.8), layout="constrained")
    for name, journal, stream, colour, line in cases:
        found = settle(journal, 5000.0, rpm / 60, 373.15, oil, stream=stream)
        axes.plot(rpm, found.temperature - 373.15, line, color=colour, label=name)
    axes.set(xlabel="speed [rev/min]", ylabel="film over inlet [K]", ylim=(0, None))
    axes.legend()
    return figure


def main() -> None:
    """Write the pictures; the same code writes the same bytes."""
    for name, draw in (("leakage", leakage), ("heat", heat)):
        figure = draw()
        figure.savefig(
            PICTURES / f"bearing_feed-{name}.svg", metadata={"Date": None, "Creator": None}
        )
        plt.close(figure)


if __name__ == "__main__":
    main()
