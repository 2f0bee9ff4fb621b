"""Oil pressure by speed and oil temperature, against cells worked out by hand."""

import numpy as np
import pytest

from tests.made import KPA, RPM, celsius, make_case, make_log, make_table, pressure_at
from witnessmark.checks.coarse import ENOUGH, Coarse
from witnessmark.checks.pressure.pressure_map import pressure_map

STEP = 0.1


def rows(*parts):
    """Stretches of (seconds, rpm, °C, kPa); the first 6 s are not judged, so they come first."""
    n = [round(seconds / STEP) for seconds, *_ in parts]
    speed, oil, pressure = (np.repeat([p[k] for p in parts], n).astype(float) for k in (1, 2, 3))
    return {"engine_speed": np.r_[0.0, speed] * RPM, "oil_temperature": celsius(np.r_[oil[0], oil]),
            "oil_pressure": np.r_[0.0, pressure] * KPA}  # fmt: skip


START = (6.0, 900, 50, 300)


def test_each_cell_holds_its_time_and_its_readings():
    channels = rows(START, (10.0, 2250, 70, 250), (4.0, 2300, 75, 270), (8.0, 3100, 95, 260))
    found = pressure_map(make_case(make_log(channels), band=make_table()))
    assert found.speed_edges[0] / RPM == pytest.approx(500)
    i, j = 3, 1  # 2,000 to 2,500 rpm, 60 to 80 °C
    assert found.oil_edges[j] - 273.15 == pytest.approx(60)
    assert found.seconds[i, j] == pytest.approx(14.0)
    assert found.lowest[i, j] / KPA == pytest.approx(250)
    assert found.highest[i, j] / KPA == pytest.approx(270)
    # Settled after 1 s in the cell: 9 s of 250 and 4 s of 270 kPa.
    assert found.median[i, j] / KPA == pytest.approx(250, abs=0.2)
    assert found.speed[i, j] / RPM == pytest.approx((9 * 2250 + 4 * 2300) / 13)
    oil = (9 * 70 + 4 * 75) / 13
    # Straight lines between the table's points: within 1 % of the formula it was made from.
    assert found.floor[i, j] / KPA == pytest.approx(pressure_at(2265, oil), rel=0.01)


def test_time_under_the_floor_and_over_the_top_is_counted():
    floor = pressure_at(2250, 75)
    channels = rows(START, (10.0, 2250, 75, floor * 1.5), (3.0, 2250, 75, floor * 0.9),
                    (2.0, 2250, 75, floor * 2.6))  # fmt: skip
    found = pressure_map(make_case(make_log(channels), band=make_table()))
    assert found.below[3, 1] == pytest.approx(3.0)
    assert found.above[3, 1] == pytest.approx(2.0)
    assert found.basis == "from the build sheet alone"


def test_pressure_on_its_way_is_no_lowest_reading():
    # From 1,200 to 2,250 rpm at once, the gauge follows half a second later.
    late = np.r_[np.full(5, 180.0), np.full(95, 260.0)]
    channels = rows(START, (5.0, 1200, 70, 180), (10.0, 2250, 70, 260))
    channels["oil_pressure"][-100:] = late * KPA
    found = pressure_map(make_case(make_log(channels), band=make_table()))
    assert found.lowest[3, 1] / KPA == pytest.approx(260)


def test_without_a_band_the_rule_of_thumb_stands_and_says_why():
    channels = rows(START, (10.0, 3000, 70, 250))
    found = pressure_map(make_case(make_log(channels), no_band="the sheet has no pump"))
    assert found.basis == ""
    assert found.why == "the sheet has no pump"
    assert found.floor[5, 1] / KPA == pytest.approx(70 * 3)  # 70 kPa per 1,000 rpm, tests/made.py
    assert np.isnan(found.top).all()


def test_without_oil_temperature_all_oil_stands_in_one_column():
    channels = rows(START, (10.0, 3000, 70, 250))
    del channels["oil_temperature"]
    found = pressure_map(make_case(make_log(channels), band=make_table()))
    assert found.oil_edges is None
    assert found.seconds.shape[1] == 1
    # The lowest floor on any oil the band knows is the hottest's.
    assert found.floor[-1, 0] / KPA == pytest.approx(pressure_at(3000, 150), rel=0.01)


def test_a_log_without_a_gauge_has_no_map():
    assert pressure_map(make_case(make_log({"engine_speed": np.full(100, 30.0)}))) is None


def test_a_very_long_log_gives_the_same_map_in_blocks(monkeypatch):
    noise = np.random.default_rng(4)
    time = np.arange(0, 3000, STEP)
    speed = 2500 + 1200 * np.sin(time / 40)
    pressure = pressure_at(speed, 70) * 1.5 + noise.normal(0, 9, len(time))
    channels = {"engine_speed": speed * RPM, "oil_pressure": pressure * KPA,
                "oil_temperature": celsius(70 + 20 * np.sin(time / 300))}  # fmt: skip
    whole = pressure_map(make_case(make_log(channels), band=make_table()))
    monkeypatch.setattr("witnessmark.checks.coarse.ENOUGH", len(time) // 5)
    short = pressure_map(make_case(make_log(channels), band=make_table()))
    assert Coarse(len(time)).each == 5
    assert ENOUGH == 200_000
    assert short.seconds == pytest.approx(whole.seconds, abs=len(time) * STEP * 0.01)
    # Medians of a fifth of the readings, ripple 9 kPa, a thousand or more in a cell: within 1 kPa;
    # a tenth of a cell's slope (25 kPa) more at its edges.
    full = whole.seconds > 100
    assert short.median[full] / KPA == pytest.approx(whole.median[full] / KPA, abs=4)
