"""Time of one bearing's orbit over the time of stepping Reynolds' equation through the same load.

    python benchmarks/orbit_speed.py [RUNS]

The reference steps the same path with the same stepper, but at every point it solves Reynolds'
equation on a grid for the pressure, and searches for the velocity of the journal whose film
carries the load. It starts on our periodic path, so it needs one cycle where ours finds its own;
that favours the reference. All in one run on one machine; what counts is the ratio.
"""

import sys
import time

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.bearing.reynolds import FilmSolver
from witnessmark.physics.crank.burn import Burn, Fuel, charge_heat, fresh_charge
from witnessmark.physics.crank.cylinder import Valves, Walls, cylinder_pressure
from witnessmark.physics.crank.loads import BearingLoad, Masses, rod_load
from witnessmark.physics.crank.motion import Cylinder, cycle_angles
from witnessmark.physics.crank.orbit import Bearing, orbit

Array = NDArray[np.float64]
AT_LEAST = 100.0  # times faster; what we hold ourselves to
WITHIN = 0.03  # of the reference's least film
SHARP = 1e-3  # rad: how near the found load lies to the wanted one
GRID = (120, 8)  # cells of the reference around and across half the width
DEGREE = np.pi / 180
AMBIENT = 101325.0
# An invented engine, the size of the demo's; one cylinder of it.
CYLINDER = Cylinder(bore=0.084, stroke=0.088, rod=0.149, compression_ratio=9.2)
VALVES = Valves(-130 * DEGREE, 130 * DEGREE, 345 * DEGREE, -345 * DEGREE, 60 * DEGREE)
BURNS = [Burn(start=-20 * DEGREE, duration=60 * DEGREE, form=2.0, completeness=5.0)]
PETROL = Fuel(heating_value=43e6, air_ratio=14.6, inducted=True)
MASSES = Masses(reciprocating=0.55, rotating=0.42)
ROD_BEARING = Bearing(diameter=0.050, length=0.019, clearance=26e-6)
CASES = ((1500 / 60, 90e3, 0.012), (6000 / 60, 100e3, 0.008))  # rev/s, Pa, Pa s


class SteppedFilm:
    """Mobility found afresh from Reynolds' equation at every point, one journal at a time."""

    def __init__(self, length_ratio: float) -> None:
        self.length_ratio, self.solved, self._lean = length_ratio, 0, 0.0

    def __call__(self, along: Array, across: Array) -> tuple[Array, Array]:
        found = np.array([self._one(a + 1j * b) for a, b in zip(along, across, strict=True)])
        return found.real, found.imag

    def _one(self, seen: complex) -> complex:
        """Search the course on which the film's load lies where the load is, by regula falsi."""
        solver = FilmSolver(min(abs(seen), 1 - 1e-6), self.length_ratio, *GRID)
        wanted = -np.angle(seen)  # where the load lies, seen from the thinnest film
        # Begin where the last point ended, half a degree to either side, and widen until it is in.
        width = np.pi / 360
        low = self._off(solver, wanted, self._lean - width)
        high = self._off(solver, wanted, self._lean + width)
        while low[1] > 0 or high[1] < 0:
            width *= 3
            if low[1] > 0:
                low, high = self._off(solver, wanted, low[0] - width), low
            else:
                low, high = high, self._off(solver, wanted, high[0] + width)
        for _ in range(40):
            middle = low[0] - low[1] * (high[0] - low[0]) / (high[1] - low[1])
            now = self._off(solver, wanted, middle)
            if abs(now[1]) < SHARP:
                break
            if now[1] > 0:
                low, high = (low[0], low[1] / 2, low[2]), now
            else:
                low, high = now, (high[0], high[1] / 2, high[2])
        self._lean = now[0]
        return complex(np.exp(1j * (now[0] + wanted + np.angle(seen))) / (6 * now[2]))

    def _off(self, solver: FilmSolver, wanted: float, lean: float) -> tuple[float, float, float]:
        """Lean of the course off the load, how far its film's load is off, and its size."""
        self.solved += 1
        course = wanted + lean
        film = solver.solve(np.cos(course), np.sin(course))
        off = np.angle(np.exp(1j * (np.arctan2(film.along, film.toward) - wanted)))
        return lean, float(off), float(np.hypot(film.toward, film.along))


def loads(speed: Array, intake: Array) -> BearingLoad:
    angle = cycle_angles()
    fresh = fresh_charge(CYLINDER, VALVES.intake_closes, intake, 310.0, 1.05 * AMBIENT)
    gas = cylinder_pressure(
        angle, CYLINDER, VALVES, intake, 1.05 * AMBIENT, fresh, charge_heat(fresh, 1.0, PETROL),
        BURNS, speed, (1.338, -6e-5, 1e-8), Walls(450.0),
    )  # fmt: skip
    return rod_load(angle, CYLINDER, MASSES, gas.pressure - AMBIENT, speed)


def main(runs: int) -> None:
    worst, furthest = np.inf, 0.0
    print(f"reference: grid {GRID[0]} by {GRID[1]}; ours: best of {runs} runs")
    for speed, intake, viscosity in CASES:
        load = loads(np.asarray(speed), np.asarray(intake))
        orbit(load, ROD_BEARING, speed, viscosity)  # the maps of the film are made once
        taken = []
        for _ in range(runs):
            begin = time.perf_counter()
            ours = orbit(load, ROD_BEARING, speed, viscosity)
            taken.append(time.perf_counter() - begin)
        film = SteppedFilm(float(ROD_BEARING.length / ROD_BEARING.diameter))
        begin = time.perf_counter()
        stepped = orbit(
            load, ROD_BEARING, speed, viscosity,
            segments=1, most_cycles=1, start=ours.path[0], mobility=film,
        )  # fmt: skip
        reference = time.perf_counter() - begin
        apart = float(ours.least_film / stepped.least_film - 1)
        ratio = reference / min(taken)
        worst, furthest = min(worst, ratio), max(furthest, abs(apart))
        print(
            f"{speed * 60:5.0f} rev/min: ours {min(taken) * 1e3:.1f} ms for {ours.cycles:.2f} "
            f"cycles, reference {reference:.1f} s for 1 ({film.solved} films), ratio {ratio:.0f}; "
            f"least film {ours.least_film * 1e6:.3f} against {stepped.least_film * 1e6:.3f} um "
            f"({apart:+.1%})"
        )
    kept = worst >= AT_LEAST and furthest <= WITHIN
    print(
        f"{'within' if kept else 'OUTSIDE'} what we hold ourselves to: "
        f"{AT_LEAST:.0f} times faster, least film within {WITHIN:.0%}"
    )
    growth()


def growth() -> None:
    """Time against the number of states, as multiples of one state alone."""
    alone = 0.0
    for count in (1, 4, 12, 40, 120, 400, 1200, 4000):
        speed = np.linspace(1000, 6500, count) / 60
        load = loads(speed, np.full(count, 90e3))
        begin = time.perf_counter()
        orbit(load, ROD_BEARING, speed, 0.010)
        taken = time.perf_counter() - begin
        alone = alone or taken
        print(
            f"{count:5d} states: {taken / alone:7.1f} times one state, "
            f"{taken / alone / count:.3f} a state ({taken:.2f} s)"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
