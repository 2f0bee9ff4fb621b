"""The band a plan carries: read between its points, over all temperatures, and back from JSON."""

import json

import numpy as np
import pytest
from numpy.testing import assert_allclose
from pydantic import TypeAdapter

from tests.made import KPA, RPM, celsius, make_table, pressure_at
from witnessmark.model.expected_pressure import HIGHEST, LOWEST, PressureTable, rows

TABLE = make_table()


@pytest.mark.parametrize(
    ("rpm", "oil"), [(500, 0), (800, 40), (2200, 75), (4500, 149), (6000, 150)]
)
def test_between_grid_points_it_runs_straight(rpm, oil):
    # The test's band is a product of two straight lines, which is what lies between four points.
    found = TABLE.at(rpm * RPM, float(celsius(oil)))
    five = (found.lowest, found.low, found.middle, found.high, found.highest)
    assert_allclose(five, pressure_at(rpm, oil) * KPA * np.array([1, 1.2, 1.5, 2, 2.5]))
    assert found.inside
    assert_allclose(
        TABLE.lines((LOWEST,), np.array([rpm * RPM]), celsius([oil]))[0],
        pressure_at(rpm, oil) * KPA,
    )


@pytest.mark.parametrize(("rpm", "oil"), [(499, 60), (6001, 60), (2000, -1), (2000, 151)])
def test_off_the_grid_the_nearest_edge_is_taken_and_said(rpm, oil):
    found = TABLE.at(rpm * RPM, float(celsius(oil)))
    edge = pressure_at(np.clip(rpm, 500, 6000), np.clip(oil, 0, 150)) * KPA
    assert_allclose(found.lowest, edge)
    assert not found.inside


@pytest.mark.parametrize("hottest", [40, 75, 110, 150, 200])
def test_on_any_oil_up_to_the_hottest(hottest):
    speed = np.array([800, 2000, 5000]) * RPM
    least = TABLE.floor_of_any(LOWEST, speed, float(celsius(hottest)))
    assert_allclose(least, pressure_at(speed / RPM, min(hottest, 150)) * KPA)
    most = TABLE.top_of_any(HIGHEST, speed, float(celsius(hottest)))
    assert_allclose(most, pressure_at(speed / RPM, 0) * 2.5 * KPA)


def test_nothing_known_stays_unknown():
    assert np.isnan(TABLE.at(30.0, float("nan")).lowest)
    assert not TABLE.at(30.0, float("nan")).inside


def test_it_comes_back_through_json():
    adapter = TypeAdapter(PressureTable)
    text = json.dumps(adapter.dump_python(TABLE, mode="json"))
    assert adapter.validate_python(json.loads(text)) == TABLE


def test_rows_are_rounded_and_plain():
    assert rows(np.array([[149.0, 151.0], [0.0, 1e3]]), 100.0) == ((100.0, 200.0), (0.0, 1000.0))
