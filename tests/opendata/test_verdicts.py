"""Verdicts on measured logs, each held against a plain reading of the raw file.

The logs are other people's cars and an aircraft; the limits are those of the demo engine's first
50 miles. What is checked is that the verdict says of the file what the file says.
"""

import csv
from dataclasses import replace
from itertools import groupby, pairwise
from pathlib import Path

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
PSI = Preferences(pressure="psi")


@pytest.fixture(scope="module")
def plan():
    return make_plan(load_build(DEMO))


def judged(plan, path):
    verdict = review(plan, "first-50-miles", read_log(path)).verdict
    return verdict, {finding.check: finding for finding in verdict.findings}


def said(finding):
    return finding.said.read(METRIC)


# A cold start in town; its throttle stands open and boost never ends: it breathes freely.


@pytest.fixture(scope="module")
def cold_rows(shared_data):
    path = shared_data / "obd_cold_city_petrol.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def cold_found(plan, shared_data):
    return judged(plan, shared_data / "obd_cold_city_petrol.csv")


def test_cold_it_is_broken(cold_found):
    assert cold_found[0].answer is Answer.BROKEN


def test_cold_highest_engine_speed_is_the_files(cold_rows, cold_found):
    highest = max(float(r["Engine RPM [RPM]"]) for r in cold_rows if r["Engine RPM [RPM]"])
    assert f"Highest {highest:,.0f} rpm" in said(cold_found[1]["speed.ceiling"])
    assert cold_found[1]["speed.ceiling"].answer is Answer.KEPT


def test_cold_boost_is_what_the_manifold_shows_over_the_key_on_reading(cold_rows, cold_found):
    manifold = "Intake Manifold Absolute Pressure [kPa]"
    readings = [(r[manifold], r["Engine RPM [RPM]"]) for r in cold_rows if r["Engine RPM [RPM]"]]
    still = {float(p) for p, rpm in readings if float(rpm) == 0 and p}
    assert still == {98.0}  # before the engine fires
    most = max(float(p) for p, _ in readings if p) - 98.0
    assert said(cold_found[1]["boost.ceiling"]).startswith(f"{most:.0f} kPa against")


def test_cold_load_is_taken_from_the_pedal_because_the_engine_is_not_throttled(cold_found):
    assert "By accelerator pedal" in said(cold_found[1]["work.share"])


def test_cold_every_spell_of_work_is_one_a_plain_loop_finds(cold_rows, cold_found):
    # Pedal over its rest of 14.1 % by more than 30 %, for two seconds or more, all under 75 °C.
    spells, since = [], None
    for row in cold_rows:
        clock = [float(part) for part in row["Time"].split(":")]
        now = clock[0] * 3600 + clock[1] * 60 + clock[2]
        worked = float(row["Accelerator Pedal Position D [%]"] or 0) > 44.1
        if worked and since is None:
            since = (now, float(row["Engine Coolant Temperature [Â°C]"]))
        elif not worked and since is not None:
            spells += [(now - since[0], since[1])] if now - since[0] >= 2 else []
            since = None
    finding = cold_found[1]["warm-up.coolant"]
    assert finding.answer is Answer.BROKEN
    assert [e.span.length for e in finding.events] == pytest.approx([t for t, _ in spells])
    assert f"coolant at {min(c for _, c in spells):.0f} °C" in said(finding)


def test_cold_two_engine_braking_pulls_and_where_they_are(cold_found):
    # Read off the file: 2,523 to 1,700 rpm from 08:26:04 and 2,437 to 1,919 from 08:27:09;
    # elsewhere the pedal is let go for a gear change or the clutch goes down.
    starts = [event.span.start for event in cold_found[1]["work.overrun"].events]
    assert starts == pytest.approx([376.7, 441.0], abs=0.5)


def test_cold_what_is_missing_is_said(cold_found):
    for check in ("oil.floor", "oil.ceiling", "warm-up.oil"):
        assert cold_found[1][check].answer is Answer.NOT_SHOWN


# Engine speed, road speed and coolant only, one reading a row.


@pytest.fixture(scope="module")
def diesel_readings(shared_data):
    path = shared_data / "obd_city_diesel_long.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file, delimiter=";"))
    return {
        name: [(float(r["SECONDS"]), float(r["VALUE"])) for r in rows if r["PID"] == name]
        for name in {r["PID"] for r in rows}
    }


@pytest.fixture(scope="module")
def diesel_found(plan, shared_data):
    return judged(plan, shared_data / "obd_city_diesel_long.csv")


def test_diesel_without_manifold_pressure_the_phase_cannot_be_signed_off(diesel_found):
    verdict, findings = diesel_found
    assert verdict.answer is Answer.NOT_SHOWN
    assert findings["boost.ceiling"].required


def test_diesel_speed_and_coolant_are_the_files(diesel_readings, diesel_found):
    speed = max(value for _, value in diesel_readings["Engine RPM"])
    hot = max(value for _, value in diesel_readings["Engine coolant temperature"])
    assert f"Highest {speed:,.0f} rpm" in said(diesel_found[1]["speed.ceiling"])
    assert f"Highest {hot:.0f} °C" in said(diesel_found[1]["coolant.ceiling"])


def test_diesel_work_and_engine_braking_are_not_shown_rather_than_guessed(diesel_found):
    for check in ("work.pulls", "work.overrun", "work.variety", "load.lugging"):
        assert diesel_found[1][check].answer is Answer.NOT_SHOWN


def test_diesel_time_on_the_move_is_the_files(diesel_readings, diesel_found):
    speed = diesel_readings["Vehicle speed"]
    moving = sum(b - a for (a, v), (b, _) in pairwise(speed) if v > 5)
    minutes, seconds = divmod(round(moving), 60)
    # The file asks for the speed four times a second: its end may fall a few readings apart.
    text = said(diesel_found[1]["shown.moving"])
    near = [f"{minutes} min {s} s" for s in range(seconds - 2, seconds + 3)]
    assert any(text.startswith(words) for words in near), (text, near)


# One reading a second; air-cooled, so no coolant; oil pressure is there.


@pytest.fixture(scope="module")
def flight_rows(shared_data):
    path = shared_data / "aircraft_flight_1hz.csv"
    with path.open(encoding="utf-8", newline="") as file:
        _, *rows = csv.DictReader(file)
    return rows


@pytest.fixture(scope="module")
def flight_found(plan, shared_data):
    return judged(plan, shared_data / "aircraft_flight_1hz.csv")


def test_flight_coolant_is_not_shown(flight_found):
    assert flight_found[1]["coolant.ceiling"].answer is Answer.NOT_SHOWN
    assert flight_found[1]["warm-up.coolant"].answer is Answer.NOT_SHOWN


def test_flight_without_a_band_the_seconds_over_the_ceiling_are_the_files(
    plan, flight_rows, shared_data
):
    over = [float(r["Oil Press (PSI)"]) > 100 for r in flight_rows]
    bare = replace(plan, band=None, no_band="for the test")
    finding = judged(bare, shared_data / "aircraft_flight_1hz.csv")[1]["oil.high"]
    assert sum(e.span.length for e in finding.events) == pytest.approx(sum(over))
    assert len(finding.events) == sum(1 for high, _ in groupby(over) if high)


def test_flight_pressure_over_the_general_ceiling_is_left_to_the_band(flight_rows, flight_found):
    highest = max(float(r["Oil Press (PSI)"]) for r in flight_rows)
    finding = flight_found[1]["oil.high"]
    assert finding.answer is Answer.KEPT
    assert finding.said.read(PSI).startswith(f"Highest {highest:.0f} psi, over the 100 psi")


def test_flight_pressure_comes_when_the_file_says(flight_rows, flight_found):
    speed = [float(r["RPM"]) for r in flight_rows]
    pressure = [float(r["Oil Press (PSI)"]) for r in flight_rows]
    fire = next(i for i, n in enumerate(speed) if n > 400)
    there = next(i for i in range(fire, len(flight_rows)) if pressure[i] >= 10)
    assert said(flight_found[1]["oil.start"]).startswith(f"{there - fire} s from start")


def test_flight_without_a_band_the_nearest_to_the_rule_is_the_files(plan, flight_rows, shared_data):
    bare = replace(plan, band=None, no_band="for the test")
    _, found = judged(bare, shared_data / "aircraft_flight_1hz.csv")
    settled = next(i for i, r in enumerate(flight_rows) if float(r["RPM"]) > 400) + 5
    margins = [
        float(r["Oil Press (PSI)"]) - max(10.0, min(float(r["RPM"]) / 100, 60.0))
        for r in flight_rows[settled:]
        if float(r["RPM"]) > 400
    ]
    text = found["oil.floor"].said.read(PSI)
    assert text.startswith(f"Never nearer than {min(margins):.0f} psi")


def line_by_hand(band, quantile, rpm, fahrenheit):
    """One quantile of the plan's own table, read between four of its numbers; psi."""
    speed, oil = rpm / 60, (fahrenheit - 32) / 1.8 + 273.15
    i = max(k for k, s in enumerate(band.speed[:-1]) if s <= max(speed, band.speed[0]))
    j = max(k for k, t in enumerate(band.temperature[:-1]) if t <= oil)
    a = max(0.0, (speed - band.speed[i]) / (band.speed[i + 1] - band.speed[i]))
    b = (oil - band.temperature[j]) / (band.temperature[j + 1] - band.temperature[j])
    table = band.pressure[quantile]
    cold, hot = ((1 - a) * table[i][k] + a * table[i + 1][k] for k in (j, j + 1))
    return ((1 - b) * cold + b * hot) / 6894.757


@pytest.mark.parametrize(
    ("check", "quantile", "pick", "sign"), [("oil.floor", 0, min, 1), ("oil.top", 4, max, -1)]
)
def test_flight_the_nearest_to_the_engines_own_lines_is_the_files(
    plan, flight_rows, flight_found, check, quantile, pick, sign
):
    # The aircraft's pressure against the Heron's band: another engine, so how near it comes says
    # nothing of either, only that the verdict reads file and band rightly.
    settled = next(i for i, r in enumerate(flight_rows) if float(r["RPM"]) > 400) + 5
    margins = []
    for i in range(settled, len(flight_rows)):
        last = [float(r["RPM"]) for r in flight_rows[max(i - 3, 0) : i + 1]]  # 3 s: pressure_lag
        if float(flight_rows[i]["RPM"]) >= 500:  # slower, nothing is foretold
            line = line_by_hand(
                plan.band, quantile, pick(last), float(flight_rows[i]["Oil Temp (deg F)"])
            )
            margins.append(sign * (float(flight_rows[i]["Oil Press (PSI)"]) - line))
    finding = flight_found[1][check]
    assert finding.answer is (Answer.KEPT if min(margins) > 0 else Answer.BROKEN)
    told = (
        f"Never nearer than {min(margins):.0f} psi" if min(margins) > 0
        else f"{-min(margins):.0f} psi over the top"
    )  # fmt: skip
    assert finding.said.read(PSI).startswith(told)


def test_flight_a_slow_log_says_so_where_it_matters(flight_found):
    assert "too slowly to show brief dips" in said(flight_found[1]["oil.floor"])


def test_a_log_that_cannot_be_true_is_refused_with_the_reason(plan, shared_data):
    with pytest.raises(UserError) as refused:
        judged(plan, shared_data / "obd_implausible_long.csv")
    assert "cannot be true" in refused.value.found
    assert "15,989 rpm" in refused.value.found
