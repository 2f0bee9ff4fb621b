"""Logs with oil pressure for the faces, simulated, as a logger writes them; and a quick fit."""

from contextlib import contextmanager
from functools import cache

import numpy as np
import pytest

from tests.lubrication.drift.drives import SECONDS, engine, later, miss
from witnessmark.lubrication.rehearse import rehearse

HEAD = "Time [s],Engine speed [rpm],Oil temp [°C],Oil pressure [psi]"
FIT = "witnessmark.lubrication.calibration.fit."


def written(readings) -> bytes:
    rows = zip(readings.time, readings.speed, readings.temperature, readings.pressure, strict=True)
    lines = [
        f"{time:.1f},{speed * 60:.0f},{oil - 273.15:.1f},{pressure / 6894.757:.0f}"
        for time, speed, oil, pressure in rows
    ]
    return ("\n".join([HEAD, *lines]) + "\n").encode()


@cache
def first() -> bytes:
    return written(rehearse(engine(), np.random.default_rng(1), SECONDS, misses=(miss(),)))


@cache
def worn() -> bytes:
    return written(later(31, {"leak": 1.3}))


@contextmanager
def short_walks():
    """Fewer draws than a user gets: these tests look at words, not at ranges."""
    with pytest.MonkeyPatch.context() as patch:
        for name, value in (("_WALKERS", 48), ("_WARM_UP", 4), ("_KEPT", 8), ("_EVERY", 2)):
            patch.setattr(FIT + name, value)
        yield
