import numpy as np
import pytest

from tests.made import KPA, RPM, make_case, make_log
from witnessmark.checks.oil_pressure import floor_pressure, pressure_at_start, pressure_floor
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences


def started(pressure_after: float, pressure: float = 300.0):
    """Five seconds at rest, then running at 2,000 rpm with pressure coming after some seconds."""
    time = np.arange(600) * 0.1
    return {
        "engine_speed": np.where(time < 5, 0.0, 2000 * RPM),
        "oil_pressure": np.where(time < 5 + pressure_after, 0.0, pressure * KPA),
    }


def test_floor_is_flat_at_idle_rises_with_speed_and_is_flat_again():
    log = make_log({"engine_speed": np.array([800, 3000, 7000]) * RPM})
    # 70 kPa per 1,000 rpm, 100 kPa at idle, 350 kPa at most: the terms of the test.
    assert floor_pressure(make_case(log)) / KPA == pytest.approx([100, 210, 350])


@pytest.mark.parametrize(("after", "answer"), [(2.0, Answer.KEPT), (6.0, Answer.BROKEN)])
def test_pressure_has_to_come_within_the_delay(after, answer):
    (found,) = pressure_at_start(make_case(make_log(started(after))))
    assert found.answer is answer
    assert f"{after:.0f} s from start" in found.said.read(Preferences())


def test_pressure_that_never_comes_is_broken_for_the_whole_stretch():
    (found,) = pressure_at_start(make_case(make_log(started(1e9))))
    assert found.answer is Answer.BROKEN
    assert found.events[0].span.length == pytest.approx(55.0)


def test_a_log_that_begins_running_shows_no_start():
    log = make_log({"engine_speed": np.full(100, 30.0), "oil_pressure": 300 * KPA})
    (found,) = pressure_at_start(make_case(log))
    assert found.answer is Answer.NOT_SHOWN


def test_the_first_seconds_after_a_start_do_not_count_against_the_floor():
    (found,) = pressure_floor(make_case(make_log(started(4.0))))
    assert found.answer is Answer.KEPT


@pytest.mark.parametrize(("samples", "answer"), [(3, Answer.KEPT), (10, Answer.BROKEN)])
def test_a_dip_counts_when_it_outlasts_the_grace(samples, answer):
    channels = started(1.0)
    channels["oil_pressure"][300 : 300 + samples] = 120 * KPA
    (found,) = pressure_floor(make_case(make_log(channels)))
    assert found.answer is answer


def test_a_dip_says_pressure_speed_and_floor():
    channels = started(1.0)
    channels["oil_pressure"][300:320] = 120 * KPA
    (found,) = pressure_floor(make_case(make_log(channels)))
    said = found.events[0].said.read(Preferences())
    assert said == "120 kPa at 2,000 rpm where the floor is 140 kPa"


def test_a_slow_log_says_that_it_cannot_show_brief_dips():
    (found,) = pressure_floor(make_case(make_log(started(1.0))))
    assert "too slowly to show brief dips" in found.said.read(Preferences())


def test_missing_oil_pressure_is_not_shown_once():
    built = make_case(make_log({"engine_speed": np.full(100, 30.0)}))
    assert [f.answer for f in pressure_floor(built)] == [Answer.NOT_SHOWN]
    assert list(pressure_at_start(built)) == []


@pytest.mark.parametrize(("low", "answer"), [(np.nan, Answer.TOO_LITTLE), (0.0, Answer.BROKEN)])
def test_a_gauge_first_polled_late_accuses_nobody(low, answer):
    channels = started(12.0)
    channels["oil_pressure"][50:170] = low  # until 12 s after the start: silent, or reading zero
    (found,) = pressure_at_start(make_case(make_log(channels), needs=["oil_pressure"]))
    assert found.answer is answer
