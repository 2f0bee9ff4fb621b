"""Fuel, heat and supply on measured logs, held against plain loops over the raw files.

None of these engines was complained of, so none of these lines may raise an alarm.
"""

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from witnessmark.errors import UserError
from witnessmark.jobs.build import load_build
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.logs.read import read_log
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences

DEMO = Path(__file__).parents[2] / "demo" / "heron.toml"
METRIC = Preferences()
OURS = ("fuelling.", "heat.", "supply.")
LOGS = (
    "aircraft_flight_1hz.csv", "obd_cold_city_petrol.csv", "obd_city_diesel_long.csv",
    "j1939_truck_idle_decoded.csv", "j1939_truck_idle.MF4",
)  # fmt: skip


@pytest.fixture(scope="module")
def plan():
    return make_plan(load_build(DEMO), films=False)


def found(plan, path, phase="first-50-miles"):
    try:
        verdict = review(plan, phase, read_log(path)).verdict
    except UserError as error:
        if "mdf" in str(error):
            pytest.skip("asammdf is not installed: pip install 'witnessmark[mdf]'")
        raise
    return {f.check: f for f in verdict.findings if f.check.startswith(OURS)}


@pytest.mark.parametrize("phase", ["first-50-miles", "first-heat"])
@pytest.mark.parametrize("name", LOGS)
def test_no_alarm_on_engines_nobody_complained_of(plan, shared_data, name, phase):
    lines = found(plan, shared_data / name, phase)
    assert len(lines) == 11
    assert [f.check for f in lines.values() if f.answer is Answer.BROKEN] == []
    assert not any(f.required for f in lines.values() if f.answer is Answer.NOT_SHOWN)


def test_cold_petrol_time_in_the_window_is_the_files(plan, shared_data):
    with (shared_data / "obd_cold_city_petrol.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    rpm = coolant = 0.0
    inside = running = hottest = 0.0
    for row, after in pairwise(rows):
        rpm = float(row["Engine RPM [RPM]"] or rpm)
        coolant = float(row["Engine Coolant Temperature [Â°C]"] or coolant)
        length = _clock(after["Time"]) - _clock(row["Time"])
        if rpm <= 400 or length > 3:  # not running, or a pause in recording
            continue
        running += length
        inside += length if 75 <= coolant <= 100 else 0
        hottest = max(hottest, coolant)
    said = found(plan, shared_data / "obd_cold_city_petrol.csv")["heat.window"].said
    # Values stand for a moment longer in the loop than in the reader: 1 % of the drive at most.
    assert said.values["coolant"].value == pytest.approx(inside / running, abs=0.01)
    assert said.values["coolant_most"].value == pytest.approx(hottest + 273.15)


def _clock(text):
    hours, minutes, seconds = text.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)


def test_aircraft_fuel_pressure_is_the_files(plan, shared_data):
    """A pump held to the manifold: the middle and the deepest droop, by a plain loop."""
    with (shared_data / "aircraft_flight_1hz.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))[1:]
    inch, psi = 3386.389, 6894.757  # Pa; NIST SP 811 (2008), B.8
    calm, pulled, since = [], [], 0
    for row in rows:
        rpm, manifold, fuel = (
            float(row[name] or "nan") for name in ("RPM", "Manifold Press (inch Hg)",
                                                   "Fuel Press (PSI)")
        )  # fmt: skip
        since = since + 1 if rpm > 400 else 0
        over = fuel * psi - manifold * inch
        if since > 5 and manifold * inch <= 70e3:
            calm.append(over)
        if rpm > 400 and manifold * inch > 80e3:
            pulled.append(over)
    line = found(plan, shared_data / "aircraft_flight_1hz.csv")["fuelling.pressure"]
    base = np.median(calm)
    assert line.said.values["over"] == "the manifold"
    # The air outside is a constant to both; one step of the gauge is 0.1 psi.
    assert line.said.values["droop"].value == pytest.approx(
        (base - min(pulled)) / line.said.values["base"].value, abs=0.1 * psi / base
    )
