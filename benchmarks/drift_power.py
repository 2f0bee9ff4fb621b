"""How often the drift test cries wolf, and how often it sees a change: on simulated drives.

    python benchmarks/drift_power.py [--engines 20] [--sound 20] [--changed 4] [--minutes 20]

Every engine is drawn from what the demo sheet leaves open. It differs from any circuit by a smooth
miss of 1 % (sd), alike in all its logs, and by another of 0.3 % in each log alone. Each log is
another drive on another day; viscosity, heat in the films and the sender's zero wander as far as
the book says sound logs do. The gauge lags by a second, scatters, and counts in whole psi. The
reference is one such log, fitted as the command fits it. Nothing here was measured on an engine.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # matrices of 400 rows: threads only wait

import argparse
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from witnessmark.jobs.build import load_build
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.lubrication.calibration.terms import fit_terms
from witnessmark.lubrication.drift.compare import Compared, Fill, compare
from witnessmark.lubrication.drift.fills import fuelled, new_fill, same_fill
from witnessmark.lubrication.drift.judge import judge
from witnessmark.lubrication.drift.reference import quick_reference
from witnessmark.lubrication.drift.terms import FOLLOWED, drift_terms
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.lubrication.rehearse import Miss, Sender, rehearse
from witnessmark.lubrication.system import PARAMETERS, OilSystem
from witnessmark.model.drift import Moved

BOOK = lubrication_book()
FIT, TERMS = fit_terms(BOOK.fit), drift_terms(BOOK.drift)
PETROL = BOOK.drift.fuel["petrol"]
MISS, MISS_OF_LOG = 0.01, 0.003  # share of the pressure, sd
USUAL = Sender()  # a second behind, 2 kPa of scatter, whole psi
COARSE = Sender(lag=1.0, noise=300.0)  # so quiet that the step of the gauge shows
FUEL = 0.03
DEMO = Path(__file__).resolve().parents[1] / "demo" / "heron.toml"


@dataclass(frozen=True)
class Case:
    """What is done to the engine before a log, and what the test is told of its oil."""

    by: Mapping[str, float]
    new_oil: bool = False
    fuel: float = 0.0
    fuel_said: bool = False
    sender: Sender = USUAL


CASES = {
    "sound": Case({}),
    "sound, coarse quiet gauge": Case({}, sender=COARSE),
    "sound, fresh oil, said": Case({}, new_oil=True),
    "sound, 3 % fuel, said": Case({}, fuel=FUEL, fuel_said=True),
    "sound, 3 % fuel, not said": Case({}, fuel=FUEL),
    "leakage +15 %": Case({"leak": 1.15}),
    "leakage +30 %": Case({"leak": 1.30}),
    "relief opening -5 %": Case({"relief_opening": 0.95}),
}


@dataclass(frozen=True)
class Engine:
    """One engine: its oil system, what no circuit explains, and its reference log's length [s]."""

    prior: Prior
    system: OilSystem
    miss: Miss
    seconds: float


def drawn_engine(prior: Prior, seconds: float, random: np.random.Generator) -> Engine:
    """An engine that the sheet allows, within two standard deviations of each part."""
    standard = np.clip(random.normal(size=len(PARAMETERS)), -2, 2)
    system = prior.system.vary(prior.by(standard))
    return Engine(prior, system, Miss.drawn(MISS, random), seconds)


def drive(engine: Engine, case: Case, random: np.random.Generator) -> Readings:
    """A later log of an engine."""
    of_fill = TERMS.new_fill if case.new_oil else TERMS.same_fill
    system = engine.system.vary({
        **case.by,
        "viscosity": float(np.exp(random.normal(scale=of_fill))),
        "film_rise": float(np.exp(random.normal(scale=TERMS.film_rise))),
        "sender_offset": float(random.normal(scale=TERMS.sender_offset)),
    })  # fmt: skip
    if case.fuel:
        oil = fuelled(system.oil, case.fuel, PETROL, TERMS).oil
        assert oil is not None
        system = replace(system, oil=oil)
    misses = (engine.miss, Miss.drawn(MISS_OF_LOG, random))
    return rehearse(system, random, engine.seconds, case.sender, misses)


def told(engine: Engine, case: Case) -> Fill:
    """What the test is told of the oil."""
    if case.fuel_said:
        return fuelled(engine.prior.system.oil, case.fuel, PETROL, TERMS)
    return new_fill(TERMS) if case.new_oil else same_fill(TERMS)


def trials(
    prior: Prior, cases: Mapping[str, tuple[Case, int]], engines: int, seconds: float, seed: int
) -> Iterator[tuple[str, Compared]]:
    """Every log of every engine against that engine's reference; cases: what and how often."""
    random = np.random.default_rng(seed)
    for _ in range(engines):
        engine = drawn_engine(prior, seconds, random)
        first = rehearse(engine.system, random, seconds, misses=(engine.miss,))
        reference = quick_reference(prior, (first,), FIT)
        for name, (case, count) in cases.items():
            for _ in range(count):
                log = drive(engine, case, random)
                yield name, compare(reference, log, told(engine, case), FIT, TERMS)


def demo_prior() -> Prior:
    """What the demo sheet says before any gauge was read."""
    return prior_of_build(load_build(DEMO), BOOK).prior


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    for name, default in (("engines", 20), ("sound", 20), ("changed", 4), ("seed", 1)):
        words.add_argument(f"--{name}", type=int, default=default)
    words.add_argument("--minutes", type=float, default=20.0)
    told_by = words.parse_args()
    cases = {
        name: (case, told_by.sound if name == "sound" else told_by.changed)
        for name, case in CASES.items()
    }
    begun, found = time.perf_counter(), dict[str, list[Compared]]()
    run = trials(demo_prior(), cases, told_by.engines, 60 * told_by.minutes, told_by.seed)
    for name, compared in run:
        found.setdefault(name, []).append(compared)
    print(f"Simulated: {told_by.engines} engines of the demo sheet, {told_by.minutes:g} min a log, "
          f"seed {told_by.seed}; {time.perf_counter() - begun:.0f} s.")  # fmt: skip
    print(f"Stated: 'changed' in {TERMS.false_alarms:.1%} of sound logs, all lines together.\n")
    print("| logs | n | any line changed | leakage: changed / not / cannot tell | "
          "opening | gradient | sd of leakage | sd of 'sure' |")  # fmt: skip
    print("|---|---|---|---|---|---|---|---|")
    for name, every in found.items():
        print(_row(name, every))


def _row(name: str, every: list[Compared]) -> str:
    verdicts = [[change.moved for change in judge(each, TERMS)] for each in every]
    changed = sum(Moved.CHANGED in each for each in verdicts)
    lines = [
        " / ".join(f"{sum(each[i] is word for each in verdicts) / len(every):.1%}"
                   for word in Moved)
        for i in range(len(FOLLOWED))
    ]  # fmt: skip
    sd = float(np.median([each.sd[0] for each in every]))
    sure = np.std([each.sure for each in every], axis=0)
    spread = " ".join(f"{one:.2f}" for one in sure)
    share = f"{changed} ({changed / len(every):.2%})"
    return f"| {name} | {len(every)} | {share} | {' | '.join(lines)} | {sd:.1%} | {spread} |"


if __name__ == "__main__":
    main()
