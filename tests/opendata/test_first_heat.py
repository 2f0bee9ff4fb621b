"""Measured logs that are no first heat: what is in them is found, and nothing is invented."""

import csv
from pathlib import Path

import pytest

from witnessmark.jobs.build import load_build
from witnessmark.jobs.first_heat import first_heat
from witnessmark.jobs.plan import make_plan
from witnessmark.logs.read import read_log
from witnessmark.model.finding import Answer
from witnessmark.model.first_heat import Done, Ended

DEMO = Path(__file__).parents[2] / "demo" / "heron.toml"
EVERY = (
    "aircraft_flight_1hz.csv", "obd_cold_city_petrol.csv", "obd_city_diesel_long.csv",
    "j1939_truck_idle_decoded.csv",
)  # fmt: skip


@pytest.fixture(scope="module")
def plan():
    return make_plan(load_build(DEMO), films=False)


@pytest.fixture(scope="module")
def heats(plan, shared_data):
    return {name: first_heat(plan, read_log(shared_data / name)) for name in EVERY}


@pytest.mark.parametrize("name", EVERY)
def test_no_prime_and_no_sweep_is_invented(heats, name):
    heat = heats[name]
    assert [burst for burst in heat.found.bursts if not burst.fired] == []
    assert heat.found.sweeps == {1: ()}
    assert heat.steps[0].done is Done.NOT_SHOWN
    broken = {f.check for f in heat.review.verdict.findings if f.answer is Answer.BROKEN}
    assert broken.isdisjoint({"start.starter", "start.speed", "start.prime", "start.fire"})


def test_the_aircraft_start_and_stop_are_the_files(heats, shared_data):
    # A plain loop: the first second over 400 rpm, and the first after it that is not.
    with (shared_data / "aircraft_flight_1hz.csv").open(newline="") as file:
        lines = [[cell.strip() for cell in row] for row in csv.reader(file)]
    head = next(i for i, row in enumerate(lines) if "E1 RPM" in row)
    rows = [dict(zip(lines[head], row, strict=False)) for row in lines[head + 1 :]]
    hours = [[int(part) for part in row["Lcl Time"].split(":")] for row in rows]
    clock = [3600 * h + 60 * m + s for h, m, s in hours]  # a second is missing on the way
    turning = [float(row["E1 RPM"] or "nan") > 400 for row in rows]
    first = turning.index(True)
    fires, stops = (clock[i] - clock[0] for i in (first, turning.index(False, first)))
    (run,) = heats["aircraft_flight_1hz.csv"].found.runs
    assert (run.span.start, run.span.end) == (fires, stops)
    assert run.ended is Ended.BY_HAND  # speed falls from 950 rpm to nothing in four readings
    (burst,) = heats["aircraft_flight_1hz.csv"].found.bursts
    assert (burst.span.start, burst.span.end) == (fires - 2, fires)  # 180 and 270 rpm


def test_the_cold_car_is_cranked_once_for_a_second(heats):
    # In the file ten rows of 193 rpm, a tenth of a second apart, then 988 rpm.
    (burst,) = heats["obd_cold_city_petrol.csv"].found.bursts
    assert burst.fired
    assert burst.span.length == pytest.approx(0.9, abs=0.1)


def test_the_truck_idles_once_and_never_starts(heats):
    heat = heats["j1939_truck_idle_decoded.csv"]
    (run,), (idle,) = heat.found.runs, heat.found.idles
    assert not run.start_shown
    assert run.ended is Ended.LOG_ENDS
    assert idle == run.span
