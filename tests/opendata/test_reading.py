"""The reader on measured logs nobody here made, against figures read from the raw files.

The figures stand in the files themselves (their origin: ../shared/README.md); each test either
quotes them or takes them out again with the csv module, which knows nothing of our reader.
"""

import csv

import numpy as np
import pytest

from witnessmark.errors import UserError
from witnessmark.logs.read import read_log
from witnessmark.model.channel import How

KELVIN = 273.15
MPH, PSI, INHG, FEET = (
    0.44704,
    6894.757,
    3386.389,
    0.3048,
)  # exact or to 7 figures: NIST SP 811, B.8


def column(log, name):
    return next(c for c in log.columns if c.name == name)


def raw(path, name, delimiter=","):
    with path.open(encoding="utf-8", newline="") as file:
        return [row[name] for row in csv.DictReader(file, delimiter=delimiter)]


def filled(cells):
    return [float(cell) for cell in cells if cell]


def test_petrol_car_from_cold(shared_data):
    path = shared_data / "obd_cold_city_petrol.csv"
    log = read_log(path)
    assert log.source.rows == len(log.time) == 6829  # lines of the file less its header
    # First and last row: 08:19:47.605 and 08:31:58.887.
    assert log.time[-1] == pytest.approx(731.282, abs=1e-3)
    coolant = log["coolant_temperature"] - KELVIN
    assert (coolant[0], coolant[-1]) == pytest.approx((22, 79))
    assert np.nanmax(log["engine_speed"]) * 60 == pytest.approx(2562)
    assert np.nanmax(log["road_speed"]) * 3.6 == pytest.approx(100)
    assert np.nanmin(log["manifold_pressure"]) == pytest.approx(88e3)
    assert np.nanmax(log["manifold_pressure"]) == pytest.approx(235e3)
    assert np.nanmax(log["pedal_position"]) == pytest.approx(0.686)
    assert np.nanmax(log["air_flow"]) == pytest.approx(0.09144)


def test_petrol_car_row_by_row(shared_data):
    path = shared_data / "obd_cold_city_petrol.csv"
    log = read_log(path)
    cells = raw(path, "Engine RPM [RPM]")
    want = np.array([float(c) / 60 if c else np.nan for c in cells])
    fresh = np.isfinite(want)
    np.testing.assert_allclose(log["engine_speed"][fresh], want[fresh], rtol=1e-12)
    # The file begins with two rows that have no engine speed: nothing is put there.
    assert np.isnan(log["engine_speed"][:2]).all()


def test_petrol_car_pauses_are_no_driving(shared_data):
    path = shared_data / "obd_cold_city_petrol.csv"
    log = read_log(path)
    stamps = raw(path, "Time")
    seconds = [
        sum(float(p) * f for p, f in zip(s.split(":"), (3600, 60, 1), strict=True)) for s in stamps
    ]
    steps = np.diff(seconds)
    assert steps.max() > 60  # between the last two rows: 08:30:56.817 and 08:31:58.887
    recorded = steps[steps < 3].sum()
    assert log.held.sum() == pytest.approx(recorded, abs=1.0)  # one usual step for each pause
    assert any("pause" in note.said for note in log.notes)


def test_diesel_car_one_reading_a_row(shared_data):
    path = shared_data / "obd_city_diesel_long.csv"
    log = read_log(path)
    assert log.source.rows == 32_239
    names, values = raw(path, "PID", ";"), raw(path, "VALUE", ";")
    speed = [float(v) for n, v in zip(names, values, strict=True) if n == "Engine RPM"]
    assert (min(speed), max(speed)) == (0, 2139)
    assert np.nanmin(log["engine_speed"]) == 0
    assert np.nanmax(log["engine_speed"]) * 60 == pytest.approx(2139)
    assert np.nanmax(log["coolant_temperature"]) - KELVIN == pytest.approx(76)
    assert np.nanmin(log["coolant_temperature"]) - KELVIN == pytest.approx(56)
    assert np.nanmax(log["road_speed"]) * 3.6 == pytest.approx(74)
    assert np.nanmax(log["distance"]) == pytest.approx(6809.039)
    # 56 degrees, 1,176 rpm and 45 km/h stand beside the file's first stamp.
    assert log["engine_speed"][0] * 60 == pytest.approx(1176)
    assert log["road_speed"][0] * 3.6 == pytest.approx(45)


def test_diesel_car_figures_of_the_logger_itself_are_no_channels(shared_data):
    log = read_log(shared_data / "obd_city_diesel_long.csv")
    for name in ("Average speed", "Distance to empty", "Distance travelled (total)"):
        assert column(log, name).channel is None


def test_aircraft_engine(shared_data):
    path = shared_data / "aircraft_flight_1hz.csv"
    log = read_log(path)
    assert log.source.rows == len(log.time) == 1057  # two of the file's 1,059 lines are headers
    assert str(log.started) == "2026-03-27 15:28:21"
    assert log.time[-1] == 17 * 60 + 37  # 15:28:21 to 15:45:58
    assert np.nanmax(log["oil_pressure"]) == pytest.approx(102 * PSI, rel=1e-6)
    assert np.nanmax(log["manifold_pressure"]) == pytest.approx(29.7 * INHG, rel=1e-6)
    assert np.nanmin(log["manifold_pressure"]) == pytest.approx(7.8 * INHG, rel=1e-6)
    assert np.nanmax(log["engine_speed"]) * 60 == pytest.approx(2710)
    assert np.nanmax(log["oil_temperature"]) == pytest.approx((180 - 32) / 1.8 + KELVIN)
    # The highest of six: 397 °F stands under CHT3, 1,390 °F under EGT2.
    assert np.nanmax(log["cylinder_head_temperature"]) == pytest.approx((397 - 32) / 1.8 + KELVIN)
    assert np.nanmax(log["exhaust_temperature"]) == pytest.approx((1390 - 32) / 1.8 + KELVIN)
    assert np.nanmax(log["altitude"]) == pytest.approx(1134 * FEET)
    assert np.nanmax(log["fuel_flow"]) == pytest.approx(23.4 * 3.785411784e-3 / 3600)


def test_truck_at_idle_with_units_in_the_names(shared_data):
    path = shared_data / "j1939_truck_idle_decoded.csv"
    log = read_log(path)
    assert len(log.time) == 255
    assert log.time[-1] == pytest.approx(128.21555 - 1.2109)
    assert np.nanmax(log["engine_speed"]) * 60 == pytest.approx(653.75)
    assert np.nanmin(log["oil_pressure"]) == pytest.approx(236e3)
    assert np.nanmax(log["oil_pressure"]) == pytest.approx(260e3)
    assert np.nanmax(log["oil_temperature"]) - KELVIN == pytest.approx(73.78125)
    assert np.nanmax(log["intake_temperature"]) - KELVIN == pytest.approx(49)
    # 2 kPa of boost at idle can only be counted from the atmosphere.
    assert np.nanmax(log["manifold_pressure"]) == pytest.approx(2e3 + 101_325)
    assert "standard atmosphere" in column(log, "boost_kpa").why
    for name in ("torque_pct", "oil_level_pct", "fuel_C"):
        assert column(log, name).channel is None


def test_a_log_that_sweeps_its_ranges_is_refused(shared_data):
    path = shared_data / "obd_implausible_long.csv"
    names, values = raw(path, "PID", ";"), raw(path, "VALUE", ";")
    speed = [float(v) for n, v in zip(names, values, strict=True) if n == "Engine RPM"]
    with pytest.raises(UserError) as caught:
        read_log(path)
    message = str(caught.value)
    assert f"{min(speed):,.0f} rpm to {max(speed):,.0f} rpm" in message
    for part in (
        "cannot be true",
        "'Engine RPM'",
        "'Engine coolant temperature'",
        "'Vehicle speed'",
    ):
        assert part in message


@pytest.mark.parametrize(
    ("cycle", "rows", "fastest"),
    # 40 CFR Part 86, Appendix I: the city cycle tops out at 56.7 mph, US06 at 80.3;
    # Part 600, Appendix I: the highway cycle at 59.9. Figures from memory of the regulation.
    [("udds", 1370, 56.7), ("us06", 601, 80.3), ("hwfet", 766, 59.9)],
)
def test_a_speed_cycle_is_read_once_its_columns_are_named(shared_data, cycle, rows, fastest):
    path = shared_data / f"{cycle}.csv"
    with pytest.raises(UserError, match="'cycMps'"):
        read_log(path)
    log = read_log(path, ["cycMps=road_speed:m/s"])
    assert len(log.time) == rows
    assert log.time[-1] == rows - 1
    assert np.nanmax(log["road_speed"]) / MPH == pytest.approx(fastest, abs=0.05)
    assert column(log, "cycMps").how is How.TOLD


def test_a_cycle_that_begins_with_a_byte_order_mark(shared_data):
    path = shared_data / "wltc_3b.csv"
    log = read_log(path, ["cycMps=road_speed:m/s"])
    # UN GTR 15, annex 1: class 3b lasts 1,800 s and tops out at 131.3 km/h
    # (from memory of the regulation).
    assert log.time[-1] == 1800
    assert np.nanmax(log["road_speed"]) * 3.6 == pytest.approx(131.3, abs=0.05)
