"""Simulated drives for these tests: short ones, so that a fit takes a second."""

from functools import cache

import numpy as np
from benchmarks.drift_power import FIT, MISS, MISS_OF_LOG, TERMS, demo_prior

from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.lubrication.drift.reference import Reference, quick_reference
from witnessmark.lubrication.rehearse import Miss, rehearse

SECONDS = 720.0
# An engine that leaks more than its sheet says, as most do: leakage then shows.
LEAKY = {"leak": 1.8, "feeds": 0.9}


def engine():
    return demo_prior().system.vary(LEAKY)


def miss():
    return Miss.drawn(MISS, np.random.default_rng(11))


@cache
def reference() -> Reference:
    first = rehearse(engine(), np.random.default_rng(1), SECONDS, misses=(miss(),))
    return quick_reference(demo_prior(), (first,), FIT)


def later(seed: int, by=None, seconds: float = SECONDS) -> Readings:
    random = np.random.default_rng(seed)
    moved = {
        "viscosity": float(np.exp(random.normal(scale=TERMS.same_fill))),
        "film_rise": float(np.exp(random.normal(scale=TERMS.film_rise))),
        "sender_offset": float(random.normal(scale=TERMS.sender_offset)),
    }
    for name, factor in (by or {}).items():
        moved[name] = moved.get(name, 1.0) * factor
    own = Miss.drawn(MISS_OF_LOG, random)
    return rehearse(engine().vary(moved), random, seconds, misses=(miss(), own))
