"""Time of a whole pressure band, over the time scipy's brentq takes for the same equations.

    python benchmarks/band_speed.py [RUNS]

One run, one core. brentq solves a sample of the same builds in the same states one by one, on the
circuit's equations written in plain floats, the fastest Python has; its time for all states is the
time for one times their number. The two must agree on every state of the sample.
"""

import math
import os
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import brentq

from witnessmark.jobs.build import load_build
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.lubrication.band import Grid, Told, drawn_builds, pressure_band
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.lubrication.system import OilSystem
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.physics.circuit.orifice import LOWEST, coefficients

DEMO = Path(__file__).parents[1] / "demo" / "heron.toml"
AT_MOST = 2.0  # s for 500 builds x 60 speeds x 30 oil temperatures, what we hold ourselves to
SAMPLE = 400  # states brentq is timed on
TOLD = Told("from a benchmark", Authority("benchmark", SourceKind.DERIVED))


def main(runs: int) -> None:
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})  # one core, whatever numpy would take
    sheet, book = load_build(DEMO), lubrication_book()
    prior = prior_of_build(sheet, book).prior
    grid = _grid(60, 30)
    builds = drawn_builds(500)
    states = len(builds) * grid.speed.size * grid.temperature.size
    band = _timed(lambda: pressure_band(prior, builds, grid, TOLD), runs)
    each, worst = _brentq(prior, builds, grid)
    print(f"{states:,} states: 500 builds x 60 speeds x 30 oil temperatures, {runs} runs")
    print(f"    band: {_three(band)} s (min median max), one core")
    median = statistics.median(band)
    print(f"  brentq: {each * 1e6:.0f} µs a state, {each * states:.0f} s for all of them")
    print(f"   ratio: {each * states / median:.0f} times (whole band, quantiles and shares too)")
    print(f"   apart: {worst:.1e} of the pressure at most, on {SAMPLE} states")
    good = median <= AT_MOST and worst < 1e-8
    print(f"{'within' if good else 'NOT within'} the {AT_MOST:.1f} s we hold ourselves to")
    _growth(prior, runs)


def _growth(prior: Prior, runs: int) -> None:
    print("\ngrowth (median s, and µs for each build in each state)")
    for n in (125, 250, 500, 1000):
        _line(f"{n} builds", prior, n, _grid(60, 30), runs)
    for s, t in ((15, 30), (30, 30), (60, 30), (120, 30)):
        _line(f"{s} x {t} states", prior, 250, _grid(s, t), runs)
    for times in (1, 2, 4, 8):
        leaks = prior.system.circuit.leaks
        many = tuple(replace(one, conductance=one.conductance / times) for one in leaks * times)
        system = replace(prior.system, circuit=replace(prior.system.circuit, leaks=many))
        _line(f"{len(many)} bearing rows", replace(prior, system=system), 250, _grid(60, 30), runs)
    for times in (1, 2, 4, 8):
        holes = prior.system.circuit.orifices
        parts = tuple(replace(one, area=one.area / times) for one in holes * times)
        system = replace(prior.system, circuit=replace(prior.system.circuit, orifices=parts))
        _line(
            f"{len(parts)} kinds of feed", replace(prior, system=system), 250, _grid(60, 30), runs
        )


def _line(name: str, prior: Prior, n: int, grid: Grid, runs: int) -> None:
    builds = drawn_builds(n)
    median = statistics.median(_timed(lambda: pressure_band(prior, builds, grid, TOLD), runs))
    each = median / (n * grid.speed.size * grid.temperature.size)
    print(f"  {name:>16}: {median:6.3f}  {each * 1e6:.2f}")


def _grid(speeds: int, temperatures: int) -> Grid:
    return Grid(np.linspace(500, 7000, speeds) / 60, np.linspace(273.15, 423.15, temperatures))


def _timed(run: Callable[[], object], runs: int) -> list[float]:
    times = []
    for _ in range(runs + 1):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return times[1:]  # the first is to warm up


def _three(times: list[float]) -> str:
    return f"{min(times):.2f} {statistics.median(times):.2f} {max(times):.2f}"


def _brentq(
    prior: Prior, builds: np.ndarray[Any, np.dtype[np.float64]], grid: Grid
) -> tuple[float, float]:
    """Seconds a state by brentq, and how far from ours at most, over the pressure."""
    random = np.random.default_rng(0)
    problems, ours = [], []
    for _ in range(SAMPLE):
        z = builds[random.integers(len(builds))]
        speed, oil = float(random.choice(grid.speed)), float(random.choice(grid.temperature))
        factors = {name: float(f) for name, f in prior.by(z).items()}
        system = prior.system.vary(factors | {"sender_offset": 0.0})
        problems.append(_plain(system, speed, oil))
        ours.append(float(system.gauge(speed, oil)))
    start = time.perf_counter()
    found = [brentq(left, 0.0, 1e7, xtol=1e-6, rtol=1e-12) for left in problems]
    each = (time.perf_counter() - start) / SAMPLE
    return each, float(np.max(np.abs(np.array(found) - ours) / np.array(ours)))


def _plain(system: OilSystem, speed: float, oil: float) -> Callable[[float], float]:
    """Flow left over at a gallery pressure, in plain floats."""
    c = system.circuit
    film = oil + float(system.film_rise) * speed / system.rated
    mu = float(system.viscosity_factor) * float(system.oil.dynamic(oil))
    hot = float(system.viscosity_factor) * float(system.oil.dynamic(film))
    rho = float(system.oil.density(oil))
    made = float(c.pump_displacement) * float(c.drive_ratio) * speed
    slip, p0, curtain = float(c.slip) / mu, float(c.relief_opening), float(c.relief_curtain)
    gradient = float(c.relief_gradient)
    gradient *= 1 + float(c.relief_drag) * mu / math.sqrt(2 * rho * p0)
    a, b = float(c.filter_laminar) * mu, float(c.filter_turbulent) * rho
    opens, climb = float(c.bypass_opening), float(c.bypass_gradient)
    rest_a = (float(c.cooler_laminar) + float(c.passage_laminar)) * mu
    rest_b = (float(c.cooler_turbulent) + float(c.passage_turbulent)) * rho
    leaks = [(float(k.conductance) / hot, float(k.head) * rho * speed**2) for k in c.leaks]
    holes = [_hole(hole, rho, mu) for hole in c.orifices]

    def left(p: float) -> float:
        taken = sum(kappa * max(p + head, 0.0) for kappa, head in leaks)
        for size, per_root, opening, (turbulent, laminar, dip, creeping) in holes:
            fall = p - opening
            if fall <= 0:
                continue
            root = math.sqrt(fall)
            re = per_root * root
            inverse = turbulent + laminar / re
            inverse -= dip / (1 + 7.5 * math.log10(0.00015 * re) ** 2)
            if re < LOWEST:
                inverse += creeping / re * (1 - re / LOWEST) ** 2
            taken += size * root / inverse
        loss = a * taken + b * taken**2
        if loss > opens:
            reach, straight = opens + climb * taken, a + climb
            through = 2 * reach / (straight + math.sqrt(straight**2 + 4 * b * reach))
            loss = a * through + b * through**2
        pump = p + loss + rest_a * taken + rest_b * taken**2
        spilled = max(pump - p0, 0.0) / gradient
        if spilled > 0:
            spilled *= 1 + curtain * (math.sqrt(pump / p0) - 1)
        return made - slip * pump - spilled - taken

    return left


def _hole(hole: Any, rho: float, mu: float) -> tuple[float, float, float, tuple[float, ...]]:
    area = float(hole.area)
    size = float(hole.count) * area * math.sqrt(2 / rho)
    per_root = math.sqrt(4 * area / math.pi) * math.sqrt(2 * rho) / mu
    four = coefficients(np.asarray(float(hole.length_ratio)))
    return size, per_root, float(hole.opening), tuple(float(one) for one in four)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
