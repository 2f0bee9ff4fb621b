"""Pictures of docs/explanation/calibration.md.

`python docs/figures/calibration.py` writes docs/pictures/calibration-*.svg. Every engine in them is
simulated, with a miss that no circuit explains; none was measured.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from dataclasses import replace
from pathlib import Path

import matplotlib as mpl

mpl.use("svg")

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import NullFormatter

from witnessmark.jobs.build import load_build
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.lubrication.calibration.terms import fit_terms
from witnessmark.lubrication.drift.compare import compare
from witnessmark.lubrication.drift.fills import same_fill
from witnessmark.lubrication.drift.reference import quick_reference
from witnessmark.lubrication.drift.terms import drift_terms
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.lubrication.rehearse import Miss, rehearse
from witnessmark.physics.lag import follow

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "docs" / "pictures"
# Okabe and Ito's colours, told apart by every common kind of colour blindness.
BLUE, ORANGE, GREEN, BLACK = "#0072B2", "#E69F00", "#009E73", "#000000"
mpl.rcParams.update({"svg.hashsalt": "calibration", "font.size": 9, "axes.grid": True})
mpl.rcParams["grid.alpha"] = 0.3
BOOK = lubrication_book()
FIT, TERMS = fit_terms(BOOK.fit), drift_terms(BOOK.drift)
PRIOR = prior_of_build(load_build(ROOT / "demo" / "heron.toml"), BOOK).prior
ENGINE = PRIOR.system.vary({"leak": 1.8, "feeds": 0.9, "relief_opening": 0.97})
MISS = Miss.drawn(0.01, np.random.default_rng(11))
KPA = 1e3


def drive(seed: int, minutes: float = 20, **by: float) -> Readings:
    """A later log of the engine, changed by so much."""
    random = np.random.default_rng(seed)
    moved = {
        "viscosity": float(np.exp(random.normal(scale=TERMS.same_fill))),
        "film_rise": float(np.exp(random.normal(scale=TERMS.film_rise))),
        "sender_offset": float(random.normal(scale=TERMS.sender_offset)),
    }
    moved = {**moved, **{name: moved.get(name, 1.0) * factor for name, factor in by.items()}}
    misses = (MISS, Miss.drawn(0.003, random))
    return rehearse(ENGINE.vary(moved), random, 60 * minutes, misses=misses)


def fitted() -> Figure:
    """What the build gives, what the fit says, and what the gauge showed."""
    log = drive(1)
    known = quick_reference(PRIOR, (log,), FIT)
    best = PRIOR.system.vary(PRIOR.by(known.best))
    figure, (over_time, over_speed) = plt.subplots(1, 2, figsize=(7.4, 3.4), layout="constrained")
    part = (log.time > 300) & (log.time < 480)
    speed = follow(log.time, log.speed, known.lag)
    minutes = log.time[part] / 60
    over_time.plot(minutes, log.pressure[part] / KPA, color=ORANGE, linewidth=3, alpha=0.6)
    for system, colour, line in ((PRIOR.system, BLACK, ":"), (best, BLUE, "-")):
        shown = system.gauge(speed[part], log.temperature[part])
        over_time.plot(minutes, shown / KPA, line, color=colour, linewidth=1.2)
    over_time.set(xlabel="time [min]", ylabel="gauge pressure [kPa]", ylim=(0, None))
    used = log.usable
    over_speed.plot(60 * speed[used][::6], log.pressure[used][::6] / KPA, ".", color=ORANGE,
                    alpha=0.5, label="gauge, simulated")  # fmt: skip
    along = np.linspace(speed[used].min(), speed[used].max(), 80)
    oil = float(np.median(log.temperature[used]))
    over_speed.plot(60 * along, PRIOR.system.gauge(along, oil) / KPA, ":", color=BLACK,
                    label="build sheet")  # fmt: skip
    over_speed.plot(60 * along, best.gauge(along, oil) / KPA, "-", color=BLUE, label="fit")
    over_speed.set(xlabel="engine speed [rpm]", ylabel="gauge pressure [kPa]", ylim=(0, None))
    over_speed.legend()
    return figure


def alike() -> Figure:
    """How much of leakage, viscosity and relief opening a gauge sees, and where."""
    speed = np.linspace(0.135, 0.75, 80) * ENGINE.rated
    figure, both = plt.subplots(1, 2, figsize=(7.4, 3.2), sharey=True, layout="constrained")
    changes = (
        ("leak", 1.15, "leakage +15 %", BLUE, "-"),
        ("viscosity", 1 / 1.15, "oil 13 % thinner", ORANGE, "--"),
        ("relief_opening", 0.95, "relief opening -5 %", GREEN, "-."),
    )
    for axes, celsius in zip(both, (60, 100), strict=True):
        sound = ENGINE.gauge(speed, celsius + 273.15)
        for name, factor, label, colour, line in changes:
            moved = ENGINE.vary({name: factor}).gauge(speed, celsius + 273.15)
            axes.plot(60 * speed, (moved - sound) / KPA, line, color=colour, label=label)
        axes.set(xlabel="engine speed [rpm]", title=f"oil {celsius} °C")
    both[0].set(ylabel="change of the gauge [kPa]")
    both[0].legend()
    return figure


def log_after_log() -> Figure:
    """Eight logs of an engine whose leakage grows and whose relief spring tires late."""
    known = quick_reference(PRIOR, (drive(1),), FIT)
    leak = (1.0, 1.0, 1.03, 1.06, 1.1, 1.15, 1.2, 1.3)
    opening = (1.0, 1.0, 1.0, 1.0, 1.0, 0.98, 0.96, 0.94)
    figure, both = plt.subplots(1, 2, figsize=(7.4, 3.2), layout="constrained")
    every = [
        compare(known, drive(40 + i, leak=k, relief_opening=o), same_fill(TERMS), FIT, TERMS)
        for i, (k, o) in enumerate(zip(leak, opening, strict=True))
    ]
    for part, (axes, true, name) in enumerate(
        zip(both, (leak, opening), ("bearing leakage", "relief opening"), strict=True)
    ):
        for number, found in enumerate(every, 1):
            low, middle, high = (
                100 * np.expm1(found.change[part] + end * found.sd[part])
                for end in (-1.645, 0.0, 1.645)
            )
            alarm = abs(found.sure[part]) >= TERMS.limits[part]
            shape, colour = ("D", ORANGE) if alarm else ("o", BLUE)
            axes.plot([number, number], [low, high], color=colour)
            axes.plot(number, middle, shape, color=colour)
        axes.plot(range(1, 9), 100 * (np.array(true) - 1), "x", color=BLACK, label="true")
        axes.axhline(0, color=BLACK, linewidth=0.8)
        axes.set(xlabel="log", ylabel=f"{name}, change [%]")
    both[0].legend()
    return figure


def same_drive() -> Figure:
    """Why readings of the reference are kept: what both logs miss alike cancels."""
    log, first = drive(50), drive(1)
    known = quick_reference(PRIOR, (first,), FIT)
    figure, axes = plt.subplots(figsize=(5.2, 3.0), layout="constrained")
    worse = np.array([0.003, 0.006, 0.012, 0.024, 0.048])
    for label, terms, colour, line in (
        ("with the first log's readings", TERMS, BLUE, "-"),
        ("every log with a miss of its own", None, ORANGE, "--"),
    ):
        sds = []
        for miss in worse:
            of = TERMS if terms else replace(TERMS, between_logs=float(miss))
            fit = replace(FIT, model_error=float(miss))
            sds.append(100 * compare(known, log, same_fill(of), fit, of).sd[0])
        axes.plot(100 * worse, sds, line, marker="o", color=colour, label=label)
    axes.set(xlabel="miss of the circuit [% of the pressure]", xscale="log", ylim=(0, None))
    axes.set(ylabel="standard error, leakage [%]")
    axes.set_xticks([0.3, 0.6, 1.2, 2.4, 4.8], ["0.3", "0.6", "1.2", "2.4", "4.8"])
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.legend()
    return figure


def main() -> None:
    """Write every picture."""
    pictures = {"fit": fitted, "alike": alike, "drift": log_after_log, "shared-miss": same_drive}
    for name, made in pictures.items():
        figure = made()
        figure.savefig(PICTURES / f"calibration-{name}.svg", metadata={"Date": None})
        plt.close(figure)


if __name__ == "__main__":
    main()
