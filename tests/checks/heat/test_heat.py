"""Charge temperature, working temperature and fan.

Limits are common practice or from memory, as book/judging.toml says of each.
"""

from dataclasses import replace

import numpy as np
import pytest

from tests.checks.fuelling.driven import driven, log_of
from tests.made import KPA, RPM, celsius, make_case
from witnessmark.checks.heat.charge_air import charge_temperature
from witnessmark.checks.heat.fan import cooling_fan
from witnessmark.checks.heat.window import temperature_window
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences

METRIC = Preferences()
N = 6000  # ten minutes at ten a second


def judged(check, channels, log=None):
    (found,) = check(make_case(log or log_of(channels)))
    return found


# Charge


def breathing(charge=35.0, outside=20.0, loaded=slice(3000, 3300)):
    channels = driven(
        N, intake_temperature=celsius(np.full(N, charge)),
        ambient_temperature=celsius(np.full(N, outside)),
    )  # fmt: skip
    channels["manifold_pressure"][loaded] = 95 * KPA
    return channels


def test_a_cool_charge_is_kept():
    found = judged(charge_temperature, breathing())
    assert found.answer is Answer.KEPT
    assert found.do_next is None
    said = found.said.read(METRIC)
    assert "15 °C over the air outside" in said
    assert "Hottest under load 35 °C" in said


def test_heat_soaked_up_standing_is_no_fault():
    channels = breathing()
    channels["road_speed"][1000:2000] = 0
    channels["intake_temperature"][1000:3100] = celsius(75)  # and 110 s of moving off
    channels["manifold_pressure"][3000:3100] = 50 * KPA
    assert judged(charge_temperature, channels).do_next is None


def test_a_hot_charge_on_the_move_is_asked_with_its_moment():
    channels = breathing()
    channels["intake_temperature"][4000:4200] = celsius(50)
    found = judged(charge_temperature, channels)
    assert found.answer is Answer.KEPT
    assert "draws its air" in found.do_next.read(METRIC)
    span = found.events[0].span
    assert (span.start, span.end) == pytest.approx((400.0, 420.0))


def test_hot_under_load_is_a_question_for_the_tuner():
    channels = breathing(charge=42.0)
    channels["intake_temperature"][3000:3100] = celsius(66)
    found = judged(charge_temperature, channels)
    assert "Over 60 °C for 10 s" in found.said.read(METRIC)
    assert "Ask the tuner" in found.do_next.read(METRIC)


def test_without_the_air_outside_only_the_heat_under_load_is_judged():
    channels = breathing()
    del channels["ambient_temperature"]
    found = judged(charge_temperature, channels)
    assert "does not show the air outside" in found.said.read(METRIC)
    assert "Hottest under load 35 °C" in found.said.read(METRIC)


# Working temperature


def test_share_of_the_window_rise_and_highest():
    coolant = np.r_[np.linspace(20, 90, 3000), np.full(3000, 90)]
    channels = driven(N, coolant_temperature=celsius(coolant))
    said = judged(temperature_window, channels).said.read(METRIC)
    # 75 °C is reached after 55/70 of five minutes: 236 s; 364 s of 600 are left.
    assert "for 61 % of the time, hottest 90 °C" in said
    assert "Fastest rise 14 °C in a minute" in said


def test_an_air_pocket_is_told_and_a_coarse_sensor_is_not():
    coolant = np.full(N, 80.0)
    coolant[::100] += 1  # steps of a degree
    channels = driven(N, coolant_temperature=celsius(coolant))
    assert judged(temperature_window, channels).do_next is None
    coolant[3000:] = 95.0  # 15 degrees at once
    channels = driven(N, coolant_temperature=celsius(coolant))
    assert "Bleed" in judged(temperature_window, channels).do_next.read(METRIC)


def test_a_polled_sensor_that_was_silent_for_a_minute_did_not_jump():
    coolant = np.r_[np.full(3000, 60.0), np.full(3000, 85.0)]
    fresh = np.zeros(N, bool)
    fresh[::600] = True
    channels = driven(N, coolant_temperature=celsius(coolant))
    log = replace(log_of(channels), fresh={"coolant_temperature": fresh})
    assert judged(temperature_window, None, log=log).do_next is None


def test_an_engine_that_never_warms_has_an_open_thermostat():
    n = 10_000
    channels = driven(n, coolant_temperature=celsius(np.linspace(20, 62, n)))
    found = judged(temperature_window, channels)
    assert found.answer is Answer.TOO_LITTLE
    assert "thermostat" in found.do_next.read(METRIC)
    short = {k: v[:3000] for k, v in channels.items()}
    assert "thermostat" not in judged(temperature_window, short).do_next.read(METRIC)


# Fan


def fanned(on=95, off=88, standing=True):
    """Standing, coolant goes up and down between the fan's switching points: 60 s up, 40 down."""
    cycle = np.r_[np.linspace(off, on, 600, endpoint=False), np.linspace(on, off, 400, False)]
    coolant = np.tile(cycle, N // 1000)
    running = np.tile(np.r_[np.zeros(600), np.ones(400)], N // 1000)
    channels = driven(N, coolant_temperature=celsius(coolant), fan=running)
    if standing:
        channels["engine_speed"][:] = 900 * RPM
        channels["road_speed"][:] = 0
    return channels


def test_the_fan_comes_on_and_goes_off_where_it_does():
    found = judged(cooling_fan, fanned())
    assert found.answer is Answer.KEPT
    assert "Came on 6 times, in the middle at 95 °C, off at 88 °C" in found.said.read(METRIC)
    assert found.do_next is None


def test_a_fan_that_chatters_is_told():
    assert "chatters" in judged(cooling_fan, fanned(on=95, off=93)).do_next.read(METRIC)


def test_a_fan_that_works_on_the_move_is_told():
    channels = fanned(standing=False)
    channels["fan"][500:5500] = 1
    found = judged(cooling_fan, channels)
    assert "should rest" in found.do_next.read(METRIC)


def test_hot_and_no_fan_is_a_stop():
    channels = fanned(on=104, off=98)
    channels["fan"][:] = 0
    found = judged(cooling_fan, channels)
    assert found.answer is Answer.BROKEN
    # Over 100 °C: the last 40 of 60 s up and the first 26.7 of 40 s down.
    assert found.events[0].span.length == pytest.approx(66.7, abs=0.3)


def test_never_needed_is_too_little():
    channels = fanned(on=90, off=86)
    channels["fan"][:] = 0
    assert judged(cooling_fan, channels).answer is Answer.TOO_LITTLE


def test_without_a_fan_channel_a_saw_tooth_is_said_to_be_inferred():
    channels = fanned()
    del channels["fan"]
    found = judged(cooling_fan, channels)
    assert found.answer is Answer.TOO_LITTLE
    said = found.said.read(METRIC)
    assert said.startswith("Inferred, not logged")
    # The curve starts at its low: five peaks have a fall after them and a rise again, six in all.
    assert "6 times" in said


def test_warming_up_or_cooling_down_once_is_no_fan():
    for coolant in (np.linspace(76, 90, N), np.linspace(95, 80, N)):
        channels = fanned()
        del channels["fan"]
        channels["coolant_temperature"] = celsius(coolant)
        assert judged(cooling_fan, channels).answer is Answer.NOT_SHOWN


@pytest.mark.parametrize("check", [charge_temperature, temperature_window, cooling_fan])
def test_missing_is_not_shown(check):
    channels = driven()
    del channels["coolant_temperature"]
    assert judged(check, channels).answer is Answer.NOT_SHOWN
