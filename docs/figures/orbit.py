"""Pictures for 'Over the cycle' of docs/explanation/bearing.md.

`python docs/figures/orbit.py` writes docs/pictures/orbit-*.svg. The engine is a made-up five in
line with ordinary numbers.
"""

from pathlib import Path

import matplotlib as mpl

mpl.use("svg")

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.figure import Figure
from numpy.typing import ArrayLike, NDArray

from witnessmark.physics.crank.burn import Burn, Fuel, charge_heat, fresh_charge
from witnessmark.physics.crank.cylinder import Valves, Walls, cylinder_pressure
from witnessmark.physics.crank.layout import inline
from witnessmark.physics.crank.loads import BearingLoad, Masses, main_loads, rod_load
from witnessmark.physics.crank.motion import Cylinder, cycle_angles
from witnessmark.physics.crank.orbit import Bearing, orbit

PICTURES = Path(__file__).parents[1] / "pictures"
# Okabe and Ito's colours, told apart by every common kind of colour blindness.
BLUE, ORANGE, GREEN, PURPLE = "#0072B2", "#E69F00", "#009E73", "#CC79A7"
mpl.rcParams.update({"svg.hashsalt": "orbit", "font.size": 9, "axes.grid": True, "grid.alpha": 0.3})

DEGREE, AMBIENT = np.pi / 180, 101325.0
ANGLE = cycle_angles()
CYLINDER = Cylinder(bore=0.084, stroke=0.088, rod=0.149, compression_ratio=9.2)
VALVES = Valves(-130 * DEGREE, 130 * DEGREE, 345 * DEGREE, -345 * DEGREE, 60 * DEGREE)
BURNS = [Burn(start=-20 * DEGREE, duration=60 * DEGREE, form=2.0, completeness=5.0)]
PETROL = Fuel(heating_value=43e6, air_ratio=14.6, inducted=True)
MASSES = Masses(reciprocating=0.55, rotating=0.42, throw_moment=0.022, counterweight=0.8)
LAYOUT = inline([1, 2, 4, 5, 3])
ROD = Bearing(diameter=0.050, length=0.019, clearance=26e-6)
MAIN = Bearing(diameter=0.058, length=0.0205, clearance=28e-6)
VISCOSITY = 0.008  # Pa s
CASES = [  # rev/min, intake pressure Pa
    ("1500 rev/min, full load", 1500, 100e3, BLUE, "-"),
    ("6500 rev/min, full load", 6500, 100e3, ORANGE, "--"),
    ("6500 rev/min, shut throttle", 6500, 30e3, GREEN, "-."),
]


def gas(speed: ArrayLike, intake: ArrayLike) -> NDArray[np.float64]:
    """Pressure over the crankcase's."""
    fresh = fresh_charge(CYLINDER, VALVES.intake_closes, intake, 310.0, 1.05 * AMBIENT)
    cycle = cylinder_pressure(
        ANGLE, CYLINDER, VALVES, intake, 1.05 * AMBIENT, fresh, charge_heat(fresh, 1.0, PETROL),
        BURNS, speed, (1.338, -6e-5, 1e-8), Walls(450.0),
    )  # fmt: skip
    return cycle.pressure - AMBIENT


def rods(rpm: ArrayLike, intake: ArrayLike) -> BearingLoad:
    """Load of a big end, in the rod's axes."""
    speed = np.asarray(rpm) / 60
    return rod_load(ANGLE, CYLINDER, MASSES, gas(speed, intake), speed)


def mains(rpm: ArrayLike, intake: ArrayLike) -> BearingLoad:
    """Load of every main, in the engine's axes."""
    speed = np.asarray(rpm) / 60
    return main_loads(ANGLE, CYLINDER, MASSES, LAYOUT, gas(speed, intake), speed)


def load() -> Figure:
    """Polar load diagrams of a big end and of a main bearing."""
    figure, (left, right) = plt.subplots(1, 2, figsize=(7, 3.8), layout="constrained")
    for name, rpm, intake, colour, line in CASES:
        along, across = rods(rpm, intake).force.T / 1e3
        left.plot(across, along, line, color=colour, label=name, linewidth=1)
        along, across = mains(rpm, intake).force[2].T / 1e3
        right.plot(across, along, line, color=colour, linewidth=1)
    left.set(xlabel="across the rod [kN]", ylabel="along the rod [kN]", title="big end")
    right.set(xlabel="across the engine [kN]", ylabel="along it [kN]", title="third main")
    for axes in (left, right):
        axes.set_aspect("equal", adjustable="datalim")
    figure.legend(loc="outside lower center", ncols=3)
    return figure


def path() -> Figure:
    """Orbits inside the clearance."""
    figure, both = plt.subplots(1, 2, figsize=(7, 3.9), layout="constrained")
    round_ = np.exp(1j * np.linspace(0, 2 * np.pi, 200))
    for axes, title in zip(both, ("big end, in the rod", "third main"), strict=True):
        axes.plot(round_.real, round_.imag, color="black", linewidth=1)
        axes.set(title=title, xlabel="across [clearances]", ylabel="along [clearances]")
        axes.set_aspect("equal")
    for name, rpm, intake, colour, line in CASES:
        for axes, found in (
            (both[0], orbit(rods(rpm, intake), ROD, rpm / 60, VISCOSITY).path),
            (both[1], orbit(mains(rpm, intake), MAIN, rpm / 60, VISCOSITY).path[2]),
        ):
            along, across = np.vstack([found, found[:1]]).T
            axes.plot(across, along, line, color=colour, linewidth=1)
        both[0].plot([], [], line, color=colour, label=name)
    figure.legend(loc="outside lower center", ncols=3)
    return figure


def film() -> Figure:
    """Thinnest film over the cycle."""
    figure, axes = plt.subplots(figsize=(7, 3.8), layout="constrained")
    for name, rpm, intake, colour, line in CASES:
        found = orbit(rods(rpm, intake), ROD, rpm / 60, VISCOSITY)
        axes.plot(ANGLE / DEGREE, found.film * 1e6, line, color=colour, label=name)
        axes.plot(found.least_angle / DEGREE, found.least_film * 1e6, "o", color=colour)
    axes.set(xlabel="crank angle [°]", ylabel="thinnest film [µm]", yscale="log")
    axes.set(xticks=range(-360, 361, 90), xlim=(-360, 360))
    axes.set_yticks([1, 2, 3, 5, 10], ["1", "2", "3", "5", "10"])
    axes.set_yticks([], minor=True)
    axes.legend()
    return figure


def ceiling() -> Figure:
    """Least film over speed, by load and by viscosity."""
    figure, (by_load, by_oil) = plt.subplots(
        1, 2, figsize=(7, 3.8), sharey=True, layout="constrained"
    )
    rpm = np.linspace(800, 7000, 63)
    looks = [(BLUE, "-"), (ORANGE, "--"), (GREEN, "-."), (PURPLE, ":")]
    intakes, oils = np.array([30e3, 60e3, 100e3, 180e3]), np.array([0.016, 0.008, 0.0065, 0.004])
    loads = rods(rpm, intakes[:, None])
    found = orbit(loads, ROD, rpm / 60, VISCOSITY).least_film
    for least, intake, (colour, line) in zip(found, intakes, looks, strict=True):
        by_load.plot(rpm, least * 1e6, line, color=colour, label=f"{intake / 1e3:.0f} kPa")
    found = orbit(rods(rpm, 100e3), ROD, rpm / 60, oils[:, None]).least_film
    for least, oil, (colour, line) in zip(found, oils, looks, strict=True):
        by_oil.plot(rpm, least * 1e6, line, color=colour, label=f"{oil * 1e3:g} mPa s")
    by_load.set(xlabel="speed [rev/min]", ylabel="least film [µm]", ylim=(0, None))
    by_load.set_title(f"intake pressure, {VISCOSITY * 1e3:g} mPa s")
    by_oil.set(xlabel="speed [rev/min]", title="viscosity, 100 kPa")
    by_load.legend()
    by_oil.legend()
    return figure


def main() -> None:
    """Write the pictures; the same code writes the same bytes."""
    for draw in (load, path, film, ceiling):
        figure = draw()
        figure.savefig(
            PICTURES / f"orbit-{draw.__name__}.svg", metadata={"Date": None, "Creator": None}
        )
        plt.close(figure)


if __name__ == "__main__":
    main()
