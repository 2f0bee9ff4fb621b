"""Fuel trims by cell. Limits: 5, 10 and 15 %, common practice, no published source.

OBD reads a trim in steps of 100/128 % (SAE J1979, scaling of PID 06 to 09; from memory).
"""

import numpy as np
import pytest

from tests.checks.fuelling.driven import driven, log_of
from tests.made import KPA, RPM, celsius, make_case
from witnessmark.checks.fuelling.trims import fuel_trims
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences

METRIC = Preferences()
OBD_STEP = 1 / 128


def judged(channels):
    (found,) = fuel_trims(make_case(log_of(channels)))
    return found


def with_idle(idle, drive, short=None):
    """Twenty seconds at idle, then a cruise, long trims as given."""
    n = 1200
    channels = driven(fuel_trim_long=np.full(n, drive))
    channels["engine_speed"][100:300] = 900 * RPM
    channels["road_speed"][100:300] = 0
    channels["fuel_trim_long"][100:300] = idle
    channels["fuel_trim_long"][0] = 0.001  # it moves, so it is not stuck
    if short is not None:
        channels["fuel_trim_short"] = short
    return channels


def test_small_trims_are_good():
    found = judged(with_idle(0.02, 0.03))
    assert found.answer is Answer.KEPT
    assert found.said.read(METRIC).startswith("Good")
    assert found.do_next is None


@pytest.mark.parametrize(
    ("trim", "word", "answer"),
    [(0.045, "Good", Answer.KEPT), (0.08, "Fine", Answer.KEPT), (0.12, "Large", Answer.KEPT),
     (0.16, "At its end", Answer.BROKEN), (-0.16, "At its end", Answer.BROKEN)],
)  # fmt: skip
def test_grades_by_the_worst_cell(trim, word, answer):
    found = judged(with_idle(0.01, trim))
    assert found.answer is answer
    assert found.said.read(METRIC).startswith(word)


def test_short_and_long_add_up():
    short = np.where(np.arange(1200) % 20 < 10, 0.05, 0.03)
    found = judged(with_idle(0.0, 0.08, short))
    assert "adding 12 % of fuel (short and long together)" in found.said.read(METRIC)


def test_the_mean_of_quantised_trims_is_the_trim():
    # A control that wanders about 4.0 % read in OBD's steps of 0.78 %.
    n = np.arange(1200)
    true = 0.04 + 0.02 * np.sin(n / 7)
    channels = with_idle(0.0, 0.0, np.round(true / OBD_STEP) * OBD_STEP)
    row = next(r for r in judged(channels).table.rows if "2,500" in r[0].read(METRIC))
    assert row[-1].text == "+4 %"


def test_an_error_only_at_idle_is_an_air_leak_and_does_not_forbid_load():
    found = judged(with_idle(0.18, 0.02))
    assert found.answer is Answer.KEPT
    assert "air leak" in found.do_next.read(METRIC)


def test_an_error_only_under_way_is_fuel_supply():
    found = judged(with_idle(0.02, 0.18))
    assert found.answer is Answer.BROKEN
    assert "fuel pressure under load" in found.do_next.read(METRIC)


def test_taking_out_fuel_at_idle_only_is_a_leaking_injector():
    assert "leaking injector" in judged(with_idle(-0.12, 0.0)).do_next.read(METRIC)


def test_overrun_and_cold_do_not_count():
    channels = with_idle(0.02, 0.02)
    channels["fuel_trim_long"][-60:] = 0.5  # shut throttle: fuel is cut
    channels["fuel_trim_long"][:20] = 0.5
    channels["coolant_temperature"][300:600] = celsius(40)
    channels["fuel_trim_long"][300:600] = 0.3
    assert judged(channels).said.read(METRIC).startswith("Good")


def test_a_moving_engine_does_not_count():
    channels = with_idle(0.02, 0.02)
    channels["engine_speed"][600:1140] = np.linspace(1500, 6900, 540) * RPM  # 100 rpm a sample
    channels["manifold_pressure"][600:1140] = 75 * KPA
    channels["fuel_trim_long"][600:1140] = 0.3
    assert judged(channels).said.read(METRIC).startswith("Good")


def test_trims_that_never_leave_nothing_are_too_little():
    found = judged(driven(fuel_trim_short=np.zeros(1200), fuel_trim_long=np.zeros(1200)))
    assert found.answer is Answer.TOO_LITTLE


def test_missing_is_not_shown():
    assert judged(driven()).answer is Answer.NOT_SHOWN


def test_means_and_times_against_a_plain_loop():
    rng = np.random.default_rng(7)
    channels = with_idle(0.0, 0.0, rng.normal(0.03, 0.02, 1200))
    table = judged(channels).table
    cruise = next(r for r in table.rows if r[0].read(METRIC).startswith("2,500"))
    speed, pressure = channels["engine_speed"], channels["manifold_pressure"]
    both = channels["fuel_trim_short"] + channels["fuel_trim_long"]
    total = count = 0
    for second in range(2, 120):
        parts = [slice(10 * s, 10 * s + 10) for s in (second - 2, second - 1, second)]
        shut = any((pressure[p] < 40 * KPA).any() for p in parts)
        speeds = [speed[p].mean() for p in parts]
        pressures = [pressure[p].mean() for p in parts]
        steady = max(speeds) - min(speeds) <= 100 * RPM
        steady = steady and max(pressures) - min(pressures) <= 5 * KPA
        if steady and not shut and speeds[-1] > 2000 * RPM:
            total, count = total + both[parts[-1]].mean(), count + 1
    assert count > 80
    assert cruise[2].values["value"].value == count
    assert cruise[3].text == f"+{100 * total / count:.0f} %"
