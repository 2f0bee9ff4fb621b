"""Logs of a warm engine that was driven, made by hand for the checks of fuel and spark."""

import numpy as np

from tests.made import KPA, RPM, celsius, make_log

STEP = 0.1


def driven(n=1200, step=STEP, **channels):
    """Two minutes at 2,500 rpm and 50 kPa, coolant at 90 °C; any channel may be put in."""
    base = {
        "engine_speed": np.full(n, 2500.0) * RPM,
        "manifold_pressure": np.full(n, 50.0) * KPA,
        "coolant_temperature": celsius(np.full(n, 90.0)),
        "road_speed": np.full(n, 60 / 3.6),
    }
    base["manifold_pressure"][:20] = 30 * KPA  # a throttle that shuts: load is by the manifold
    base["manifold_pressure"][-60:] = 30 * KPA
    return base | {name: np.asarray(values, float) for name, values in channels.items()}


def log_of(channels, step=STEP):
    return make_log(channels, step)


def wavy(n=1200, middle=1.0, swing=0.01):
    """A lambda that a closed loop holds: a wave of five seconds."""
    return middle + swing * np.sin(np.arange(n) * STEP * 2 * np.pi / 5)
