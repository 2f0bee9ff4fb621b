"""A sound log, a fault too brief to count, a held fault, and the channel that is missing."""

import numpy as np
import pytest

from tests.made import KPA, RPM, celsius, make_case, make_log
from witnessmark.checks.ceilings import (
    boost_ceiling,
    coolant_ceiling,
    oil_pressure_ceiling,
    speed_ceiling,
)
from witnessmark.model.finding import Answer
from witnessmark.units import Kind, Preferences

SPEED = ("engine_speed", "4000 rpm", Kind.ROTATIONAL_SPEED)
BOOST = ("boost", "0 kPa", Kind.PRESSURE)
HOT = ("coolant_temperature", "105 °C", Kind.TEMPERATURE)


def one(findings):
    (finding,) = findings
    return finding


def test_speed_under_its_ceiling_is_kept():
    log = make_log({"engine_speed": np.full(100, 3999) * RPM})
    found = one(speed_ceiling(make_case(log, [SPEED])))
    assert found.answer is Answer.KEPT
    assert "3,999 rpm" in found.said.read(Preferences())


def test_a_spike_shorter_than_the_grace_is_kept_but_told():
    speed = np.full(100, 3000.0)
    speed[50] = 4100
    found = one(speed_ceiling(make_case(make_log({"engine_speed": speed * RPM}), [SPEED])))
    assert found.answer is Answer.KEPT
    assert "4,100 rpm, too brief" in found.said.read(Preferences())


def test_a_held_excess_says_when_how_far_how_long():
    speed = np.full(100, 3000.0)
    speed[50:62] = [4010, *[4350] * 10, 4010]
    found = one(speed_ceiling(make_case(make_log({"engine_speed": speed * RPM}), [SPEED])))
    assert found.answer is Answer.BROKEN
    assert "4,350 rpm against a ceiling of 4,000 rpm: 350 rpm over" in found.said.read(
        Preferences()
    )
    (event,) = found.events
    assert event.span.start == pytest.approx(5.0)
    assert event.span.length == pytest.approx(1.2)


def test_a_pause_in_recording_parts_one_excess_into_two():
    speed = np.full(20, 4200.0)
    log = make_log({"engine_speed": speed * RPM}, gaps={10: 60.0})
    found = one(speed_ceiling(make_case(log, [SPEED])))
    assert [round(e.span.length, 6) for e in found.events] == [1.0, 1.0]


def test_over_speed_on_a_shut_throttle_is_told_apart():
    speed, pedal = np.full(100, 3000.0), np.full(100, 0.5)
    speed[50:60], pedal[45:65] = 4800, 0.0
    log = make_log({"engine_speed": speed * RPM, "pedal_position": pedal})
    found = one(speed_ceiling(make_case(log, [SPEED])))
    assert "throttle shut" in found.events[0].said.read(Preferences())


def test_boost_is_counted_above_the_atmosphere_the_log_shows():
    # At 1,500 m the atmosphere is 84.56 kPa (ISO 2533); 95 kPa there is boost, at sea level not.
    pressure = np.r_[np.full(20, 84.6), np.full(80, 95.0)] * KPA
    speed = np.r_[np.zeros(20), np.full(80, 2500.0)] * RPM
    log = make_log({"engine_speed": speed, "manifold_pressure": pressure})
    found = one(boost_ceiling(make_case(log, [BOOST])))
    assert found.answer is Answer.BROKEN
    assert found.events[0].span.length == pytest.approx(8.0)


def test_without_any_atmosphere_the_assumption_is_printed():
    log = make_log({"engine_speed": np.full(50, 40.0), "manifold_pressure": 60 * KPA})
    said = one(boost_ceiling(make_case(log, [BOOST]))).said.read(Preferences())
    assert "assumed: standard atmosphere" in said


def test_missing_boost_is_not_shown_and_required_only_where_the_phase_needs_it():
    log = make_log({"engine_speed": np.full(50, 40.0)})
    wanted = one(boost_ceiling(make_case(log, [BOOST], needs=["manifold_pressure"])))
    spare = one(boost_ceiling(make_case(log, [BOOST])))
    assert (wanted.answer, wanted.required) == (Answer.NOT_SHOWN, True)
    assert (spare.answer, spare.required) == (Answer.NOT_SHOWN, False)


def test_coolant_shown_for_part_of_the_drive_is_not_called_kept():
    coolant = celsius(np.r_[np.full(60, 90.0), np.full(40, np.nan)])
    log = make_log({"engine_speed": np.full(100, 40.0), "coolant_temperature": coolant})
    assert one(coolant_ceiling(make_case(log, [HOT]))).answer is Answer.TOO_LITTLE


def test_coolant_over_its_ceiling_reads_as_a_difference_of_degrees():
    coolant = celsius(np.r_[np.full(60, 90.0), np.full(40, 110.0)])
    log = make_log({"engine_speed": np.full(100, 40.0), "coolant_temperature": coolant})
    said = one(coolant_ceiling(make_case(log, [HOT]))).said
    assert "230 °F against a ceiling of 221 °F: 9 °F over" in said.read(
        Preferences(temperature="°F")
    )


def test_oil_pressure_far_too_high_is_broken():
    log = make_log({"engine_speed": np.full(100, 40.0), "oil_pressure": 760 * KPA})
    high = [("oil_pressure", "100 psi", Kind.PRESSURE)]  # 689.5 kPa by the definition of the psi
    found = one(oil_pressure_ceiling(make_case(log, high)))
    assert found.answer is Answer.BROKEN
    assert "71 kPa over" in found.said.read(Preferences())


def test_engine_speed_that_is_missing_for_half_the_log_is_not_called_kept():
    speed = np.r_[np.full(60, 3000.0), np.full(60, np.nan)] * RPM
    assert (
        one(speed_ceiling(make_case(make_log({"engine_speed": speed}), [SPEED]))).answer
        is Answer.TOO_LITTLE
    )
