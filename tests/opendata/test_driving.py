"""Gears, coverage and oil pressure maps of measured drives, held against what cars are like.

The sources of these logs give no gear ratios, so what is checked is what any car's box is like:
steps from one gear to the next of 1.15 to 2.1 that grow smaller upwards (common practice of gearbox
design, from memory), and that the gears account for most of the rolling.
"""

import numpy as np
import pytest

from tests.made import make_case
from tests.opendata.test_cycles import CARS, driven
from witnessmark.checks.pressure.corners import dips_in_corners
from witnessmark.checks.pressure.pressure_map import pressure_map
from witnessmark.logs.read import read_log
from witnessmark.model.finding import Answer


def judged(path):
    return make_case(read_log(path))


@pytest.mark.parametrize(
    ("name", "gears"), [("obd_cold_city_petrol.csv", 6), ("obd_city_diesel_long.csv", 4)]
)
def test_gears_of_a_measured_drive_step_as_a_gearbox_does(shared_data, name, gears):
    # Both files were looked at by hand: their ratios lie in so many heaps.
    found = judged(shared_data / name).gears
    turns = np.array([gear.turns for gear in found.used])
    steps = turns[:-1] / turns[1:]
    assert len(turns) == gears
    assert steps.min() > 1.15
    assert steps.max() < 2.1
    assert np.all(np.diff(steps) < 0.05)  # within what whole km/h leave open
    told = sum(gear.seconds for gear in found.used)
    assert told > 0.6 * (told + sum(s for reason, s in found.out.items() if reason < -1))


@pytest.mark.parametrize("car", CARS.values(), ids=CARS)
def test_gears_of_a_cycle_are_those_it_was_driven_in(shared_data, car):
    found = driven(shared_data / "wltc_3b.csv", car, 2600, 1300).gears
    box = np.array([gear * car.final_drive / car.wheel_circumference for gear in car.gears])
    turns = np.array([gear.turns for gear in found.used])
    # The car is a model without slip, so each gear found is one of the box to rounding.
    nearest = np.abs(np.log(turns[:, None] / box[None, :])).min(axis=1)
    assert nearest.max() < 1e-6
    assert len(turns) >= len(box) - 1  # first may be held too briefly to tell


def test_an_aircraft_has_no_gears(shared_data):
    assert judged(shared_data / "aircraft_flight_1hz.csv").gears.used == ()


def test_the_map_of_a_flight_holds_the_files_own_extremes(shared_data):
    case = judged(shared_data / "aircraft_flight_1hz.csv")
    found = pressure_map(case)
    judged_time = case.log.total(case.settled("floor_delay") & ~np.isnan(case.log["oil_pressure"]))
    assert found.seconds.sum() == pytest.approx(judged_time, rel=0.02)
    shown = case.log["oil_pressure"][case.running]
    assert np.nanmax(found.highest) <= np.nanmax(shown)
    assert np.nanmin(found.lowest) >= np.nanmin(shown)


@pytest.mark.parametrize("name", ["aircraft_flight_1hz.csv", "j1939_truck_idle_decoded.csv"])
def test_no_measured_log_is_blamed_for_dips(shared_data, name):
    (found,) = dips_in_corners(judged(shared_data / name))
    assert found.answer is not Answer.BROKEN
    assert not found.required
