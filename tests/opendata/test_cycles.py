"""The regulatory cycles through one stated car: the highway cycle is the poorest in variety.

The speeds are measured law (40 CFR Part 86, Appendix I, and Part 600, Appendix I), read from
the open copies; the car is ours and stated below. What is checked is the order only.
"""

import csv
from itertools import pairwise

import numpy as np
import pytest

from tests.made import make_case
from witnessmark.checks.case import Case
from witnessmark.model.log import Log, Source
from witnessmark.physics.road_load import Vehicle, choose_gears, engine_demand

# A middling estate car: no source, a scenario of our own.
CARS = {
    "five gears": Vehicle(1550, 0.70, 0.012, 1.95, (3.36, 1.98, 1.37, 1.02, 0.79), 3.77, 0.92),
    "tall six": Vehicle(1400, 0.62, 0.010, 2.02, (3.5, 2.0, 1.35, 1.0, 0.8, 0.63), 3.5, 0.92),
    "short four": Vehicle(1100, 0.68, 0.014, 1.80, (3.5, 2.1, 1.4, 1.0), 4.1, 0.90),
}
MOST_TORQUE = 250.0  # N·m, of the same invented car
IDLE = 900 / 60


def speeds(path):
    with path.open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    return np.array([float(row["cycMps"]) for row in rows])


def driven(path, car, up, down) -> Case:
    """The cycle as a log: engine speed, road speed and load from the road-load model."""
    road = speeds(path)
    gear = choose_gears(road, car, up / 60, down / 60)
    engine, torque = engine_demand(road, np.gradient(road), gear, car, IDLE)
    channels = {
        "engine_speed": engine,
        "road_speed": road,
        "engine_load": np.clip(torque / MOST_TORQUE, 0.0, 1.0),
    }
    n = len(road)
    log = Log(Source(path.name, "0" * 64, 0, n), np.arange(n) * 1.0, np.ones(n), channels)
    return make_case(log)


@pytest.mark.parametrize("car", CARS.values(), ids=CARS)
@pytest.mark.parametrize(("up", "down"), [(2200, 1200), (2600, 1300), (3500, 1600)])
def test_the_highway_cycle_is_the_poorest_in_variety(shared_data, car, up, down):
    minute = {
        name: driven(shared_data / f"{name}.csv", car, up, down).load_map.per_minute
        for name in ("hwfet", "udds", "us06", "wltc_3b")
    }
    assert minute["hwfet"] < min(minute["udds"], minute["wltc_3b"])
    assert minute["us06"] == max(minute.values())  # the aggressive cycle


@pytest.mark.parametrize("richer", ["udds", "us06", "wltc_3b"])
def test_over_the_whole_drive_too_in_the_five_speed_car(shared_data, richer):
    # Over a whole drive a short-geared car can spread the motorway as wide as the city: this
    # order is asserted for one stated gearing only, the order by the minute for all of them.
    highway, other = (
        driven(shared_data / f"{name}.csv", CARS["five gears"], 2600, 1300).load_map
        for name in ("hwfet", richer)
    )
    assert highway.effective < other.effective
    assert highway.cells < other.cells


def test_lengths_are_those_of_the_law(shared_data):
    # 40 CFR 86 App. I: UDDS 1,369 s and 7.45 miles; 40 CFR 600 App. I: HFET 765 s, 10.26 miles
    # (durations and distances from memory; rounding of the tables is the tolerance).
    for name, duration, miles in (("udds.csv", 1369, 7.45), ("hwfet.csv", 765, 10.26)):
        road = speeds(shared_data / name)
        assert len(road) - 1 == duration
        driven_miles = sum((a + b) / 2 for a, b in pairwise(road)) / 1609.344
        assert driven_miles == pytest.approx(miles, abs=0.01)
