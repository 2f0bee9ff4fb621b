"""Drift on a measured flight: one engine within one hour has not changed, however it is cut."""

import numpy as np
import pytest
from benchmarks.drift_power import FIT, TERMS

from tests.model.sheets import LEAST, changed
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.logs.read import read_log
from witnessmark.lubrication.calibration.readings import readings
from witnessmark.lubrication.drift.compare import compare
from witnessmark.lubrication.drift.fills import same_fill
from witnessmark.lubrication.drift.judge import judge
from witnessmark.lubrication.drift.reference import quick_reference
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.model.build import parse_build
from witnessmark.model.drift import Moved

# aircraft_flight_1hz shows six cylinders; the rest of the sheet is what such engines are like.
SHEET = changed(
    LEAST, ('arrangement = "V"', 'arrangement = "flat"'), ("cylinders = 8", "cylinders = 6"),
    ("[1, 4, 7, 2, 8, 5, 3, 6]", "[1, 4, 5, 2, 3, 6]"), ("4.10 in", "5.125 in"),
    ("3.30 in", "4.375 in"), ("6500 rpm", "2700 rpm"), ("SAE 30", "20W-50"),
)  # fmt: skip


@pytest.fixture(scope="module")
def flight(shared_data):
    return readings(read_log(shared_data / "aircraft_flight_1hz.csv"), FIT)


@pytest.fixture(scope="module")
def prior():
    return prior_of_build(parse_build(SHEET, "flight.toml"), lubrication_book()).prior


@pytest.fixture(scope="module")
def odd_minutes(flight, prior):
    """The odd pairs of minutes as the reference; a fit of its own takes seconds."""
    return quick_reference(prior, (flight.only(in_turn(flight, 2)),), FIT)


def in_turn(flight, minutes):
    return np.floor(flight.time / (60 * minutes)) % 2 == 1


def told(reference, after):
    return judge(compare(reference, after, same_fill(TERMS), FIT, TERMS), TERMS)


def test_parts_of_one_flight_taken_in_turn_show_no_change(flight, odd_minutes):
    changes = told(odd_minutes, flight.only(~in_turn(flight, 2)))
    assert Moved.CHANGED not in [each.moved for each in changes]
    opening = changes[1]  # and would have shown a relief spring gone weak
    assert opening.moved is Moved.SAME
    assert opening.least < 0.05


def test_longer_parts_show_none_either(flight, prior):
    reference = quick_reference(prior, (flight.only(~in_turn(flight, 5)),), FIT)
    changes = told(reference, flight.only(in_turn(flight, 5)))
    assert Moved.CHANGED not in [each.moved for each in changes]


def test_taxi_and_flight_have_too_little_in_common_to_be_compared(flight, prior):
    taxi, away = flight.halves(0.5)
    changes = told(quick_reference(prior, (taxi,), FIT), away)
    assert {each.moved for each in changes} == {Moved.CANNOT_TELL}
