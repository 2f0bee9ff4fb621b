"""Pictures of docs/explanation/circuit.md.

`python docs/figures/circuit.py` writes docs/pictures/circuit-*.svg. Engine and oil are made up.
"""

import math
from dataclasses import replace
from pathlib import Path

import matplotlib as mpl

mpl.use("svg")

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.figure import Figure

from witnessmark.physics.circuit.leak import feed_head
from witnessmark.physics.circuit.network import Circuit, Leak, Orifice, Solved, solve
from witnessmark.physics.circuit.orifice import discharge_coefficient
from witnessmark.physics.oil.oil import oil_from_data

PICTURES = Path(__file__).parents[1] / "pictures"
# Okabe and Ito's colours, told apart by every common kind of colour blindness.
BLUE, SKY, GREEN, YELLOW = "#0072B2", "#56B4E9", "#009E73", "#F0E442"
ORANGE, RED, PURPLE, GREY = "#E69F00", "#D55E00", "#CC79A7", "#999999"
mpl.rcParams.update({"svg.hashsalt": "circuit", "font.size": 9, "axes.grid": True})
mpl.rcParams["grid.alpha"] = 0.3
KPA, LITRE_A_MINUTE = 1e-3, 6e4


def hole(millimetres: float, count: int, opening: float, name: str) -> Orifice:
    """Round drilling four diameters long."""
    return Orifice(math.pi / 4 * (millimetres * 1e-3) ** 2, 4.0, count, opening, name)


OIL = oil_from_data(110e-6, 14.5e-6, 880.0)
ENGINE = Circuit(
    pump_displacement=14e-6,
    slip=4e-15,
    relief_opening=450e3,
    relief_gradient=2.4e8,
    filter_laminar=1.5e9,
    filter_turbulent=1.5e7,
    bypass_opening=150e3,
    bypass_gradient=2e8,
    passage_turbulent=2e7,
    leaks=(
        Leak(6e-12, name="mains"),
        Leak(4e-12, feed_head(0.055, 0.029), "rods"),
        Leak(7e-12, name="cams"),
    ),
    orifices=(
        hole(1.4, 5, 200e3, "piston jets"),
        hole(1.0, 1, 0.0, "turbo"),
        hole(0.8, 1, 0.0, "tensioner"),
    ),
)
RPM = np.linspace(600, 7000, 200)


def run(circuit: Circuit, celsius: float, film_above: float = 15.0) -> Solved:
    """All speeds at one oil temperature, films so much hotter than the gallery."""
    at, film = celsius + 273.15, celsius + film_above + 273.15
    return solve(circuit, RPM / 60, OIL.dynamic(at), OIL.density(at), OIL.dynamic(film))


def pressure_over_speed() -> Figure:
    """Gallery pressure by oil temperature, relief valve as it is and an imagined flat one."""
    figure, both = plt.subplots(1, 2, figsize=(7.5, 3.4), sharey=True, layout="constrained")
    flat = replace(ENGINE, relief_gradient=2e5)
    for axes, circuit, title in (
        (both[0], ENGINE, "relief with its gradient"),
        (both[1], flat, "imagined flat relief"),
    ):
        for celsius, colour, line in (
            (20, BLUE, "-"), (60, GREEN, "--"), (90, ORANGE, "-."), (130, RED, ":"),
        ):  # fmt: skip
            found = run(circuit, celsius)
            axes.plot(RPM, found.gallery * KPA, line, color=colour, label=f"{celsius} °C")
        axes.set(xlabel="engine speed [rev/min]", title=title, ylim=(0, None))
    both[0].set_ylabel("gallery pressure [kPa]")
    both[0].legend(title="oil")
    return figure


def where_the_oil_goes() -> Figure:
    """Everything the pump displaces, cold and hot, stacked."""
    figure, both = plt.subplots(1, 2, figsize=(7.5, 3.6), sharey=True, layout="constrained")
    colours = [BLUE, SKY, GREEN, ORANGE, YELLOW, PURPLE, GREY, RED]
    for axes, celsius in zip(both, (40, 110), strict=True):
        found = run(ENGINE, celsius)
        flows = [*found.leak_flows, *found.orifice_flows, found.slip_flow, found.relief_flow]
        names = [part.name for part in (*ENGINE.leaks, *ENGINE.orifices)]
        axes.stackplot(
            RPM, [f * LITRE_A_MINUTE for f in flows], colors=colours,
            labels=[*names, "pump slip", "relief"],
        )  # fmt: skip
        axes.set(xlabel="engine speed [rev/min]", title=f"oil at {celsius} °C")
        axes.set_xlim(RPM[0], RPM[-1])
    both[0].set_ylabel("flow [L/min]")
    handles, labels = both[0].get_legend_handles_labels()
    both[0].legend(handles[::-1], labels[::-1], loc="upper left", fontsize=8)
    return figure


def discharge() -> Figure:
    """How much of its ideal flow an orifice lets through, by Reynolds number."""
    figure, axes = plt.subplots(figsize=(5, 3.2), layout="constrained")
    reynolds = np.geomspace(1, 1e5, 400)
    for ratio, colour, line in ((2.0, BLUE, "-"), (4.0, ORANGE, "--"), (10.0, GREEN, "-.")):
        coefficient = discharge_coefficient(reynolds, ratio)
        axes.loglog(reynolds, coefficient, line, color=colour, label=f"l/d = {ratio:g}")
        creeping = reynolds / (12 * np.pi + 64 * ratio)
        axes.loglog(reynolds[creeping < 1], creeping[creeping < 1], color=colour, linewidth=0.6)
    axes.axvspan(10, 2e4, color=GREY, alpha=0.15)
    axes.set(xlabel="hydraulic Reynolds number [-]", ylabel="discharge coefficient [-]")
    axes.set_ylim(1e-3, 1.5)
    axes.legend()
    return figure


def main() -> None:
    """Write every picture."""
    for name, draw in (
        ("pressure", pressure_over_speed),
        ("flows", where_the_oil_goes),
        ("discharge", discharge),
    ):
        figure = draw()
        figure.savefig(PICTURES / f"circuit-{name}.svg", metadata={"Date": None})
        plt.close(figure)


if __name__ == "__main__":
    main()
