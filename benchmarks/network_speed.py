"""Time of the oil circuit's solve a state, over that of scipy's brentq on the same equations.

    python benchmarks/network_speed.py [SAMPLES]

Everything in one run, on one thread, in processor seconds; what counts is the ratio. brentq runs
a state at a time, on two forms of the equations: (a) our public functions called with numbers,
(b) the same formulas written out by hand in plain Python with math, its best case. Both are given
a bracket, 0 to 1 MPa, and asked for 1e-5 Pa, about what solve's flow residual of 1e-9 amounts to.
The circuit and its builds are invented.
"""

import math
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from witnessmark.physics.circuit.balance import balance
from witnessmark.physics.circuit.leak import feed_head
from witnessmark.physics.circuit.network import Circuit, Leak, Orifice, Solved, State, solve

AT_LEAST = 200.0  # times faster than brentq, what we hold ourselves to
AT_MOST = 2.0  # seconds for 500 builds at 60 speeds and 30 temperatures
BRACKET = (0.0, 1e6)  # Pa
Array = NDArray[np.float64]


def builds(samples: int, seed: int = 1) -> Circuit:
    rng = np.random.default_rng(seed)

    def about(value: float, spread: float) -> Array:
        return np.asarray(value * np.exp(spread * rng.standard_normal((samples, 1, 1))))

    def hole(millimetres: float, count: int, opening: Array | float, name: str) -> Orifice:
        return Orifice(about(math.pi / 4 * (millimetres * 1e-3) ** 2, 0.05), 4.0, count, opening,
                       name)  # fmt: skip

    return Circuit(
        pump_displacement=about(14e-6, 0.03),
        slip=about(4e-15, 0.3),
        relief_opening=about(517e3, 0.04),
        relief_gradient=about(2.4e8, 0.2),
        filter_laminar=about(5e9, 0.1),
        filter_turbulent=1e8,
        bypass_opening=150e3,
        bypass_gradient=2e8,
        passage_turbulent=3e7,
        leaks=(
            Leak(about(6 * 1.2e-12, 0.2), name="mains"),
            Leak(about(5 * 8e-13, 0.2), feed_head(0.055, 0.029), "rods"),
            Leak(about(12e-12, 0.2), name="cams"),
        ),
        orifices=(
            hole(1.4, 5, about(200e3, 0.05), "piston jets"),
            hole(1.0, 1, 0.0, "turbo"),
            hole(0.8, 1, 0.0, "tensioner"),
        ),
    )


def states(speeds: int, temperatures: int) -> State:
    """600 to 7000 rpm by 0 to 145 °C, on the D341 line of a 110/14.5 mm²/s oil."""
    speed = np.linspace(600, 7000, speeds)[:, None] / 60
    kelvin = np.linspace(273.15, 418.15, temperatures)
    density = 880 * (1 - 0.00065 * (kelvin - 288.15))

    def viscosity(at: Array) -> Array:
        return np.asarray((10**10 ** (8.11114 - 3.12556 * np.log10(at)) - 0.7) * 1e-6 * density)

    return State(speed, viscosity(kelvin), density, viscosity(kelvin + 15))


def run(circuit: Circuit, state: State) -> tuple[Solved, float]:
    start = time.process_time()
    found = solve(circuit, state.speed, state.viscosity, state.density, state.film_viscosity)
    return found, time.process_time() - start


def one(
    circuit: Circuit, state: State, place: tuple[int, ...], shape: tuple[int, ...]
) -> tuple[Circuit, State]:
    def at(number: Array | float) -> float:
        return float(np.broadcast_to(number, shape)[place])

    names = [n for n in vars(circuit) if n not in ("leaks", "orifices", "relief_after_filter")]
    alone = Circuit(
        **{n: at(getattr(circuit, n)) for n in names},
        relief_after_filter=circuit.relief_after_filter,
        leaks=tuple(Leak(at(k.conductance), at(k.head)) for k in circuit.leaks),
        orifices=tuple(
            Orifice(at(o.area), at(o.length_ratio), at(o.count), at(o.opening))
            for o in circuit.orifices
        ),
    )
    return alone, State(*(at(n) for n in vars(state).values()))


def by_public_functions(c: Circuit, s: State) -> Callable[[float], float]:
    return lambda pressure: float(balance(c, pressure, s)[0])


def by_hand(c: Circuit, s: State) -> Callable[[float], float]:
    """The same formulas with everything that does not depend on pressure worked out before."""
    n, mu, rho, film = (float(v) for v in vars(s).values())
    made = float(c.pump_displacement) * float(c.drive_ratio) * n
    leaks = [(float(k.conductance) / film, float(k.head) * rho * n * n) for k in c.leaks]
    holes = []
    for o in c.orifices:
        area, x = float(o.area), float(o.length_ratio)
        per_root = math.sqrt(4 * area / math.pi) * math.sqrt(2 * rho) / mu
        size = float(o.count) * area * math.sqrt(2 / rho)
        laminar = 20 * (1 + 2.25 * x)
        holes.append((float(o.opening), per_root, size, 1 / (0.827 - 0.0085 * x), laminar,
                      0.005 * x, 12 * math.pi + 64 * x - laminar))  # fmt: skip
    slip, relief, opening = (
        float(c.slip) / mu,
        1 / float(c.relief_gradient),
        float(c.relief_opening),
    )
    fa, fb = float(c.filter_laminar) * mu, float(c.filter_turbulent) * rho
    ra = (float(c.cooler_laminar) + float(c.passage_laminar)) * mu
    rb = (float(c.cooler_turbulent) + float(c.passage_turbulent)) * rho
    past, climb = float(c.bypass_opening), float(c.bypass_gradient)
    sqrt, log10 = math.sqrt, math.log10

    def left(p: float) -> float:
        flow = 0.0
        for conductance, head in leaks:
            if p + head > 0:
                flow += conductance * (p + head)
        for shut, per_root, size, u, e, dip, slow in holes:
            fall = p - shut
            if fall > 0:
                root = sqrt(fall)
                re = per_root * root
                inverse = u + e / re - dip / (1 + 7.5 * log10(0.00015 * re) ** 2)
                if re < 10:
                    inverse += slow / re * (1 - 0.1 * re) ** 2
                flow += size * root / inverse
        loss = flow * (fa + fb * flow)
        if loss > past:
            reach, straight = past + climb * flow, fa + climb
            through = 2 * reach / (straight + sqrt(straight * straight + 4 * fb * reach))
            loss = through * (fa + fb * through)
        pump = p + loss + flow * (ra + rb * flow)
        spilled = relief * (pump - opening) if pump > opening else 0.0
        return made - slip * pump - spilled - flow

    return left


def brentq_time(
    equations: Callable[[Circuit, State], Callable[[float], float]],
    circuit: Circuit, state: State, found: Solved, count: int,
) -> float:  # fmt: skip
    """Processor seconds a state, the building of its equations not counted."""
    rng = np.random.default_rng(7)
    places = [tuple(int(rng.integers(k)) for k in found.gallery.shape) for _ in range(count)]
    ready = [equations(*one(circuit, state, p, found.gallery.shape)) for p in places]
    start = time.process_time()
    roots = [brentq(left, *BRACKET, xtol=1e-5, rtol=1e-11) for left in ready]
    spent = time.process_time() - start
    ours = np.array([found.gallery[p] for p in places])
    worst = float(np.max(np.abs(np.array(roots) - ours) / ours))
    if worst > 1e-7:
        raise SystemExit(f"brentq and solve disagree by {worst:.1e}: not the same equations")
    return spent / count


def grow(title: str, rows: list[tuple[str, Circuit, State]]) -> None:
    print(f"\n{title}")
    for name, circuit, state in rows:
        spent = min(run(circuit, state)[1] for _ in range(3))
        size = run(circuit, state)[0].gallery.size
        print(f"  {name:>24} {size:>9,} states {spent:8.4f} s {spent / size * 1e6:7.3f} µs each")


def _said(kept: bool) -> str:
    return "keeps" if kept else "MISSES"


def main(samples: int) -> None:
    circuit, state = builds(samples), states(60, 30)
    run(circuit, state)
    laps = []
    for _ in range(3):
        wall = time.perf_counter()
        found, spent = run(circuit, state)
        laps.append((spent, time.perf_counter() - wall))
        hand = brentq_time(by_hand, circuit, state, found, 1000)
        public = brentq_time(by_public_functions, circuit, state, found, 60)
        each = spent / found.gallery.size
        print(
            f"solve {each * 1e6:6.3f} µs a state; brentq by hand {hand * 1e6:6.1f} µs = "
            f"{hand / each:5.0f} ×; on the public functions {public * 1e6:6.0f} µs = "
            f"{public / each:6.0f} ×"
        )
    spent, wall = sorted(laps)[1]
    print(
        f"{found.gallery.size:,} states: {spent:.2f} s of one core, {wall:.2f} s on the clock; "
        f"brentq would take {hand * found.gallery.size:.0f} s by hand, "
        f"{public * found.gallery.size / 60:.0f} min on the public functions"
    )
    print(f"worst mass residual {np.max(np.abs(found.residual)):.1e} of the pump's flow")
    each = spent / found.gallery.size
    print(f"by hand: {_said(hand / each >= AT_LEAST)} the {AT_LEAST:.0f} × we hold ourselves to")
    print(f"on the public functions: {_said(public / each >= AT_LEAST)} it")
    if samples >= 500:
        print(f"the band: {_said(spent <= AT_MOST)} the {AT_MOST:.0f} s")
    few = builds(50)
    grow("States (50 builds)", [(f"{n} × {t}", few, states(n, t))
                                for n, t in ((6, 3), (20, 10), (60, 30), (120, 60))])  # fmt: skip
    grow("Builds (60 × 30)", [(f"{n}", builds(n), state) for n in (1, 10, 100, 400)])
    grow("Leaks (50 builds)", [
        (f"{n}", replace(few, leaks=few.leaks[:1] * n), state) for n in (1, 3, 10, 30)
    ])  # fmt: skip
    grow("Kinds of orifice (50 builds)", [
        (f"{n}", replace(few, orifices=(few.orifices[1:2] * n)), state) for n in (0, 1, 3, 10)
    ])  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
