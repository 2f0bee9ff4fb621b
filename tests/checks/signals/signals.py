"""Signals made by hand, with faults of known place and size."""

import numpy as np

from tests.made import KPA, RPM, celsius, make_log

STEP = 0.1


def drive(seconds=120, step=STEP):
    """A sound drive: every channel moves as an engine's does, quantised as loggers do."""
    n = round(seconds / step)
    t = np.arange(n) * step
    rng = np.random.default_rng(2)
    rpm = 2200 + 1200 * np.sin(t / 4) + 150 * np.sin(t * 1.7)
    pressure = 62 + 33 * np.sin(t / 3 + 1)
    return {
        "engine_speed": np.round(rpm) * RPM,
        "manifold_pressure": np.round(pressure) * KPA,
        "oil_pressure": np.round(120 + rpm / 12 + rng.normal(0, 2, n)) * KPA,
        "coolant_temperature": celsius(np.round(np.minimum(40 + t / 2, 88))),
        "road_speed": np.round(rpm / 40) / 3.6,
        "pedal_position": np.round(np.clip(40 + 60 * np.sin(t / 3), 0, 100)) / 100,
        "lambda": np.round(0.95 + 0.03 * np.sin(t) + rng.normal(0, 0.01, n), 2),
        "battery_voltage": np.round(14.0 + rng.normal(0, 0.05, n), 1),
    }


def log_with(step=STEP, seconds=120, gaps=None, **changed):
    """The sound drive with some channels put in place of its own."""
    return make_log({**drive(seconds, step), **changed}, step, gaps=gaps)


def at(log, span):
    """First and last sample of a span."""
    part = log.at(span)
    return part.start, part.stop - 1
