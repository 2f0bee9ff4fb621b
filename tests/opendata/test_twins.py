"""Measured drives: made over as another logger would have taken them, and held against others."""

from itertools import combinations

import numpy as np
import pytest

from witnessmark.logs.read import read_log
from witnessmark.logs.twins import Likeness, Trace, compare, trace
from witnessmark.model.log import Log

DRIVES = ("aircraft_flight_1hz.csv", "obd_cold_city_petrol.csv", "obd_city_diesel_long.csv")


@pytest.fixture(scope="module")
def logs(shared_data) -> dict[str, Log]:
    return {name: read_log(shared_data / name) for name in DRIVES}


@pytest.mark.parametrize("name", DRIVES)
@pytest.mark.parametrize(
    ("rate", "start", "step", "noise"),
    # From as good as the first to one reading in three seconds, in steps of 50 rpm.
    [(1.0, 0.3, 1, 0), (4.0, 37.4, 25, 20), (0.5, 100.0, 50, 30), (0.3, 20.7, 50, 20)],
)
def test_taken_again_by_another_logger(logs, name, rate, start, step, noise):
    log = logs[name]
    time = np.arange(start, log.time[-1], 1 / rate)
    read = log["engine_speed"][np.searchsorted(log.time, time, "right") - 1]
    read = read + np.random.default_rng(1).normal(0, noise / 60, time.size)
    read = np.round(read * 60 / step) * step / 60
    held = np.append(np.diff(time), 1 / rate)
    again = Log(log.source, time - start, held, {"engine_speed": read})
    found = compare(trace(log), trace(again))
    assert found.likeness is Likeness.SAME
    # A logger that holds its last reading seems to lag by up to half its step, and at most 0.7 s
    # is what the coarsest of these came to.
    assert found.lag == pytest.approx(start, abs=1.0)


def test_no_two_of_them_are_one(logs):
    for one, other in combinations(DRIVES, 2):
        assert compare(trace(logs[one]), trace(logs[other])).likeness is Likeness.OTHER, (
            one,
            other,
        )


@pytest.mark.parametrize("name", DRIVES)
def test_its_two_halves_are_two_drives(logs, name):
    speed = trace(logs[name]).speed
    half = len(speed) // 2
    found = compare(Trace(speed[:half]), Trace(speed[half:]))
    assert found.likeness is Likeness.OTHER


def test_a_truck_at_idle_cannot_be_told(shared_data):
    log = read_log(shared_data / "j1939_truck_idle_decoded.csv")
    assert compare(trace(log), trace(log)).likeness is Likeness.CANNOT_TELL
