"""What went by in a moment: the same as the log says, in the reader's units."""

from dataclasses import replace

import numpy as np
import pytest

from tests.made import make_log
from witnessmark.model.log import Span
from witnessmark.report.verdict.passed import Odometer, into_words, passed_words
from witnessmark.report.verdict.view import verdict_view
from witnessmark.units import Kind, Preferences, Quantity, show

MILES = Preferences(distance="mi")


@pytest.fixture
def log():
    noise = np.random.default_rng(2)
    speed = noise.uniform(20, 60, 500)
    speed[40:60] = np.nan
    channels = {"engine_speed": speed, "road_speed": noise.uniform(5, 30, 500)}
    return make_log(channels, gaps={200: 30.0})


@pytest.mark.parametrize("span", [Span(0, 10), Span(3.1, 3.2), Span(15, 62), Span(0, 80)])
def test_it_is_what_the_log_itself_says(log, span):
    ours, theirs = Odometer(log).passed(span), log.passed(span)
    assert ours.seconds == pytest.approx(theirs.seconds)
    assert ours.revolutions == pytest.approx(theirs.revolutions)
    assert ours.distance == pytest.approx(theirs.distance)


def test_how_far_into_the_drive_is_the_road_before_it(log):
    before = Odometer(log).before(12.0)
    assert before == pytest.approx(log.passed(Span(0.0, 12.0)).distance)


def test_words_leave_out_what_is_not_shown(log):
    bare = replace(log, channels={"engine_speed": log["engine_speed"]})
    passed = Odometer(bare).passed(Span(10, 20))
    assert passed_words(passed, MILES).endswith(" turns")
    assert "mi" not in passed_words(passed, MILES)
    assert into_words(Odometer(bare).before(10.0), MILES) == ""


@pytest.mark.parametrize(
    ("metres", "prefer", "words"),
    # One mile is 1,609.344 m, one foot 0.3048 m (international yard and pound agreement, 1959).
    [(1609.344, MILES, "1 mi"), (100.0, MILES, "328 ft"), (100.0, Preferences(), "0.1 km"),
     (42.0, Preferences(), "42 m"), (0.0, Preferences(), "0 km"),
     (4100.0, Preferences(), "4.1 km")],
)  # fmt: skip
def test_a_short_way_is_told_in_small_units(metres, prefer, words):
    assert show(Quantity(metres, Kind.DISTANCE), prefer) == words


def test_every_moment_of_a_verdict_says_what_passed_in_it(review):
    view = verdict_view(review)
    assert view.moments
    assert all("turns" in moment.passed for moment in view.moments)
    # 4,310 rpm falling to 4,190 and up again, 5.75 s from 8 min 20 s: about 70 turns a second.
    (moment,) = view.moments
    assert int(moment.passed.split()[0]) == pytest.approx(4250 / 60 * 5.75, rel=0.02)
