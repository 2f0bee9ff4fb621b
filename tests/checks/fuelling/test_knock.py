"""Knock retard. Limits: 1 degree asked, 3 degrees or twice in one place a stop, 25 readings a
second to say "none"; common practice, no published source."""

import numpy as np
import pytest

from tests.checks.fuelling.driven import driven, log_of
from tests.made import KPA, RPM, make_case
from witnessmark.checks.fuelling.knock import knock_retard
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences

METRIC = Preferences()
STEP = 0.02
DEGREE = np.pi / 180


def judged(channels, step=STEP):
    (found,) = knock_retard(make_case(log_of(channels, step)))
    return found


def pulled(*events, sign=1, n=3000, kpa=95.0, rpm=None):
    """A minute with load from 20 to 40 s; events are (first sample, samples, degrees)."""
    channels = driven(n, knock_retard=np.zeros(n))
    channels["manifold_pressure"][1000:2000] = kpa * KPA
    if rpm is not None:
        channels["engine_speed"][1000:2000] = rpm * RPM
    for first, length, degrees in events:
        channels["knock_retard"][first : first + length] = sign * degrees * DEGREE
    return channels


def test_none_in_a_quick_log_is_kept():
    found = judged(pulled())
    assert found.answer is Answer.KEPT
    assert "None under load in 20 s" in found.said.read(METRIC)


@pytest.mark.parametrize("sign", [1, -1])
def test_one_degree_once_is_a_question_in_either_sign(sign):
    found = judged(pulled((1200, 10, 1.0), sign=sign))
    assert found.answer is Answer.KEPT
    assert "Ask the tuner" in found.do_next.read(METRIC)
    said = found.said.read(METRIC)
    assert "most 1° at 2,500 rpm and 95 kPa abs" in said.replace(" °", "°")
    assert ("Positive" if sign > 0 else "Negative") in said


def test_three_degrees_are_a_stop_and_found_to_the_sample():
    found = judged(pulled((1200, 10, 3.0), sign=-1))
    assert found.answer is Answer.BROKEN
    (event,) = found.events
    assert (event.span.start, event.span.end) == pytest.approx((24.0, 24.2))


def test_twice_in_one_place_is_a_stop():
    found = judged(pulled((1200, 10, 1.5), (1600, 10, 1.0)))
    assert found.answer is Answer.BROKEN
    assert "More than once in the same place" in found.said.read(METRIC)


def test_twice_in_two_places_is_a_question():
    speed = np.linspace(2000, 4000, 1000)
    assert judged(pulled((1200, 10, 1.0), (1700, 10, 1.0), rpm=speed)).answer is Answer.KEPT


def test_a_stutter_is_one_event():
    assert judged(pulled((1200, 10, 1.0), (1220, 10, 1.0))).answer is Answer.KEPT


def test_noise_off_load_and_in_a_gear_change_is_told_and_not_counted():
    channels = pulled((500, 10, 4.0), (1500, 10, 4.0))
    channels["engine_speed"][1490:1530] = np.linspace(4000, 2500, 40) * RPM  # clutch down
    found = judged(channels)
    assert found.answer is Answer.KEPT
    assert "2 more off load or in a gear change" in found.said.read(METRIC)


def test_a_slow_log_never_says_none():
    channels = pulled(n=3000)
    found = judged({k: v[::5] for k, v in channels.items()}, 0.1)
    assert found.answer is Answer.TOO_LITTLE
    assert "read every 100 ms, 40 ms or less is needed" in found.said.read(METRIC)


def test_a_slow_log_still_shows_a_stop():
    channels = pulled((1200, 20, 5.0))
    assert judged({k: v[::5] for k, v in channels.items()}, 0.1).answer is Answer.BROKEN


def test_both_signs_are_asked_not_guessed():
    found = judged(pulled((1200, 10, 2.0), (1500, 10, -2.0)))
    assert found.answer is Answer.TOO_LITTLE
    assert "which sign" in found.said.read(METRIC)


def test_stuck_is_too_little():
    channels = pulled()
    channels["knock_retard"][:] = 2 * DEGREE
    assert judged(channels).answer is Answer.TOO_LITTLE


def test_missing_is_not_shown():
    assert judged(driven()).answer is Answer.NOT_SHOWN
