"""Misfires, injector duty, fuel and crankcase pressure.

Limits are common practice or from memory, as book/judging.toml says of each.
"""

from dataclasses import replace

import numpy as np
import pytest

from tests.checks.fuelling.driven import driven, log_of
from tests.made import KPA, make_case
from witnessmark.checks.case import Case
from witnessmark.checks.fuelling.crankcase import crankcase_pressure
from witnessmark.checks.fuelling.fuel_pressure import fuel_pressure
from witnessmark.checks.fuelling.injectors import injector_duty
from witnessmark.checks.fuelling.misfire import misfires
from witnessmark.model.finding import Answer
from witnessmark.model.plan import EngineFacts
from witnessmark.units import Preferences

METRIC = Preferences()


def judged(check, channels, cylinders=4, log=None):
    case = make_case(log or log_of(channels))
    facts = EngineFacts("petrol", 0.0, True, cylinders)
    (found,) = check(Case(case.log, replace(case.terms, facts=facts)))
    return found


# Misfires. 120 s at 2,500 rpm are 5,000 turns; a four-stroke four fires 10,000 times in them.


@pytest.mark.parametrize(
    ("missed", "answer", "asked"),
    [(50, Answer.KEPT, False), (150, Answer.KEPT, True), (600, Answer.BROKEN, True)],
)
def test_misfires_are_a_share_of_all_firings(missed, answer, asked):
    total = np.round(np.linspace(17, 17 + missed, 1200))  # a counter that began at 17
    found = judged(misfires, driven(misfire_count=total))
    assert found.answer is answer
    assert (found.do_next is not None) is asked
    said = found.said.read(METRIC)
    assert f"{missed} in 5,000 turns, {missed / 5:.2f} in 1,000" in said
    assert f"{missed / 100:.2f}".rstrip("0").rstrip(".") in said
    assert "running total" in said


def test_a_counter_that_is_reset_goes_on_counting():
    total = np.r_[np.round(np.linspace(0, 60, 600)), np.round(np.linspace(0, 40, 600))]
    assert judged(misfires, driven(misfire_count=total)).said.read(METRIC).startswith("100 in")


def test_counts_by_interval_are_told_from_a_running_total():
    by_interval = np.zeros(1200)
    by_interval[::40] = 3  # thirty times three
    found = judged(misfires, driven(misfire_count=by_interval))
    assert found.said.read(METRIC).startswith("90 in")
    assert "by interval" in found.said.read(METRIC)


def test_held_copies_of_an_interval_are_counted_once():
    by_interval = np.zeros(1200)
    for first in range(0, 1200, 40):
        by_interval[first : first + 10] = 3
    channels = driven(misfire_count=by_interval)
    assert judged(misfires, channels).said.read(METRIC).startswith("90 in")
    fresh = np.zeros(1200, bool)
    fresh[::5] = True  # each value was truly sent twice
    log = replace(log_of(channels), fresh={"misfire_count": fresh})
    assert judged(misfires, None, log=log).said.read(METRIC).startswith("180 in")


def test_without_the_number_of_cylinders_there_is_no_share():
    found = judged(misfires, driven(misfire_count=np.arange(1200) // 100), cylinders=0)
    assert found.answer is Answer.TOO_LITTLE


# Injector duty


def test_duty_at_its_end_for_half_a_second_is_a_stop():
    duty = np.linspace(0.05, 0.35, 1200)
    assert judged(injector_duty, driven(injector_duty=duty)).do_next is None
    duty[700:704] = 0.9
    assert judged(injector_duty, driven(injector_duty=duty)).answer is Answer.KEPT
    duty[700:705] = 0.9
    found = judged(injector_duty, driven(injector_duty=duty))
    assert found.answer is Answer.BROKEN
    span = found.events[0].span
    assert (span.start, span.end) == pytest.approx((70.0, 70.5))


def test_more_duty_than_a_run_in_needs_is_asked():
    found = judged(injector_duty, driven(injector_duty=np.linspace(0.05, 0.5, 1200)))
    assert found.answer is Answer.KEPT
    assert "ask the tuner" in found.do_next.read(METRIC)


# Fuel pressure


def pumped(rail, **more):
    channels = driven(fuel_pressure=rail, **more)
    channels["manifold_pressure"][400:600] = 150 * KPA
    return channels


def test_pressure_over_the_manifold_is_judged_over_the_manifold():
    # 300 kPa over the manifold: the gauge reads 249 at 50 kPa abs and 349 at 150 kPa abs.
    channels = pumped(np.zeros(1200))
    channels["fuel_pressure"] = 300 * KPA + channels["manifold_pressure"] - 101.325 * KPA
    found = judged(fuel_pressure, channels)
    assert found.answer is Answer.KEPT
    assert "300 kPa over the manifold" in found.said.read(METRIC)
    channels["fuel_pressure"][500:510] -= 25 * KPA  # 8.3 % for a second
    found = judged(fuel_pressure, channels)
    assert found.answer is Answer.BROKEN
    span = found.events[0].span
    assert (span.start, span.end) == pytest.approx((50.0, 51.0))
    assert "sank by 8 %" in found.events[0].said.read(METRIC)


def test_pressure_over_the_air_outside_is_no_droop_in_boost():
    rail = 400 * KPA + 2 * KPA * np.sin(np.arange(1200))
    found = judged(fuel_pressure, pumped(rail))
    assert found.answer is Answer.KEPT
    assert "400 kPa over the air outside" in found.said.read(METRIC)


def test_a_droop_off_load_or_for_a_moment_is_no_stop():
    rail = np.full(1200, 400 * KPA)
    rail[700:710] = 300 * KPA
    rail[500:504] = 300 * KPA
    assert judged(fuel_pressure, pumped(rail)).answer is Answer.KEPT


def test_a_pressure_made_to_follow_demand_is_not_judged():
    rail = np.linspace(200, 900, 1200) * KPA
    assert judged(fuel_pressure, pumped(rail)).answer is Answer.TOO_LITTLE


# Crankcase


def test_pressure_off_load_is_a_stop_only_over_a_zero_that_was_seen():
    channels = driven(crankcase_pressure=np.full(1200, 0.2 * KPA))
    channels["crankcase_pressure"][700:730] = 2.5 * KPA
    assert judged(crankcase_pressure, channels).answer is Answer.TOO_LITTLE
    channels["engine_speed"][:50] = 0
    channels["crankcase_pressure"][:50] = 0.2 * KPA
    found = judged(crankcase_pressure, channels)
    assert found.answer is Answer.BROKEN
    assert "Most 2 kPa off load" in found.said.read(METRIC)


def test_a_zero_that_is_off_is_taken_off():
    channels = driven(crankcase_pressure=np.full(1200, 2.4 * KPA))
    channels["engine_speed"][:50] = 0
    channels["crankcase_pressure"][:50] = 2.2 * KPA
    assert judged(crankcase_pressure, channels).answer is Answer.KEPT


def test_the_trend_under_load_is_told():
    channels = driven(crankcase_pressure=np.full(1200, 0.1 * KPA))
    channels["manifold_pressure"][200:1000] = 95 * KPA
    channels["crankcase_pressure"][200:600] = 1.2 * KPA
    channels["crankcase_pressure"][600:1000] = 0.8 * KPA
    said = judged(crankcase_pressure, channels).said.read(METRIC)
    assert "1.2 kPa on average at first, 0.8 kPa later" in said


@pytest.mark.parametrize("check", [misfires, injector_duty, fuel_pressure, crankcase_pressure])
def test_missing_is_not_shown(check):
    assert judged(check, driven()).answer is Answer.NOT_SHOWN
