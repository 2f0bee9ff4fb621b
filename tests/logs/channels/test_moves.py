"""What stays in its range but moves like no engine is set aside or refused."""

import numpy as np
import pytest

from tests.logs.channels.made import ROWS, SWING, T, column, log_of
from witnessmark.errors import UserError
from witnessmark.logs.channels.moves import hurried, unrelated
from witnessmark.logs.channels.vocabulary import vocabulary

TRIANGLE = 120 * np.abs((T % 30) - 15) / 15  # 0 to 120 and back in 30 s


def entry(name: str):
    return vocabulary().entries[name]


def test_a_coolant_that_swings_through_its_range_is_set_aside():
    log = log_of({"Coolant [°C]": TRIANGLE, "MAP [kPa]": 30 + 60 * SWING})
    found = column(log, "Coolant [°C]")
    assert found.channel is None
    assert "it goes on moving by more than 20 °C in 10 s" in found.why


def test_two_that_move_like_no_engine_refuse_the_log():
    with pytest.raises(UserError, match="this log cannot be true") as caught:
        log_of({"Coolant [°C]": TRIANGLE, "Oil temp [°C]": TRIANGLE + 5,
                "MAP [kPa]": 30 + 60 * SWING, "TPS [%]": 80 * SWING})  # fmt: skip
    assert "'Coolant [°C]'" in str(caught.value) and "'Oil temp [°C]'" in str(caught.value)


def test_a_thermostat_that_opens_is_no_fault():
    # 25 K lost in five seconds as cold water comes round, once in two minutes.
    opening = np.interp(T, [0, 60, 65, 120], [70, 95, 70, 92])
    assert hurried(T, opening + 273.15, entry("coolant_temperature")) < vocabulary().moves.share


def test_a_step_of_a_polled_sensor_is_no_fault():
    read = np.where(np.arange(ROWS) % 100 == 0, 60 + np.floor(T / 10) * 2 + 273.15, np.nan)
    assert hurried(T, read, entry("coolant_temperature")) == 0


def test_a_short_log_proves_nothing():
    short = slice(0, 250)
    assert hurried(T[short], TRIANGLE[short] + 273.15, entry("coolant_temperature")) == 0


GEARS = np.array([8.0, 4.5, 3.0, 2.2])  # rev of the engine for each metre


def drive(jump: float = 0.0):
    """Ten minutes in four gears, changed every 20 s; `jump` of noise on the engine. [m/s, rev/s]"""
    when = np.arange(0, 600, 0.1)
    road = 15 + 5 * np.sin(when / 17)
    engine = road * GEARS[(when // 20).astype(int) % 4]
    rng = np.random.default_rng(5)
    return when, engine * np.exp(jump * rng.normal(size=when.size).cumsum() / 10), road


def test_gears_hold_engine_and_road_together():
    assert unrelated(*drive()) is None


def test_an_engine_that_sweeps_by_itself_has_nothing_to_do_with_the_road():
    when, _, road = drive()
    sweep = 20 + 100 * np.abs((when % 20) - 10) / 10
    assert unrelated(when, sweep, road) > vocabulary().moves.ratio


def test_a_road_speed_of_another_car_is_set_aside():
    road = 50 + 30 * np.abs((T % 14) - 7) / 7
    rpm = 1500 + 4500 * np.abs((T % 20) - 10) / 10
    log = log_of({"Vehicle speed [km/h]": road, "MAP [kPa]": 30 + 60 * SWING}, rpm=rpm)
    assert "road_speed" not in log and "engine_speed" in log
    assert "in gear the two move together" in column(log, "Vehicle speed [km/h]").why


def test_a_car_that_idles_or_crawls_says_nothing():
    when = np.arange(0, 600, 0.1)
    assert unrelated(when, 13 + 5 * np.sin(when), 0 * when + 3) is None
