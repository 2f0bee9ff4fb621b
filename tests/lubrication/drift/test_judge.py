"""From numbers to words."""

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from benchmarks.drift_power import TERMS

from witnessmark.lubrication.drift.compare import Compared, Thinner
from witnessmark.lubrication.drift.judge import judge
from witnessmark.lubrication.drift.terms import FOLLOWED
from witnessmark.model.drift import Moved


def found(change=(0.0, 0.0, 0.0), sd=(0.02, 0.005, 0.05), leak_sd=0.0):
    change, sd = np.array(change), np.array(sd)
    return Compared(change, sd, change / sd, leak_sd, 1.0, Thinner(0.0, 0.1, 1.0), 1.0)


def leak(**said):
    return judge(found(**said), TERMS)[0]


def test_the_lines_together_alarm_as_often_as_stated():
    tails = sum(2 * (1 - NormalDist().cdf(limit)) for limit in TERMS.limits)
    assert tails == pytest.approx(TERMS.false_alarms, rel=1e-6)
    assert len(TERMS.limits) == len(FOLLOWED)


def test_a_change_far_beyond_its_error_is_changed_either_way():
    for change in (0.14, -0.14):
        assert leak(change=(change, 0, 0)).moved is Moved.CHANGED


def test_a_range_that_holds_no_change_is_never_changed():
    # A fit that has stuck may speak loudly against no change and yet not know where to go.
    wide = replace(found(change=(0.1, 0, 0), sd=(0.2, 0.005, 0.05)), sure=np.array([9.0, 0, 0]))
    assert judge(wide, TERMS)[0].moved is Moved.CANNOT_TELL


def test_not_changed_needs_a_log_that_would_have_shown_it():
    assert leak(sd=(0.02, 0.005, 0.05)).moved is Moved.SAME
    assert leak(sd=(0.06, 0.005, 0.05)).moved is Moved.CANNOT_TELL


def test_the_chance_to_be_seen_is_the_bell_curves():
    # One-sided: a rise by 15 % stands ln 1.15 / 0.03 = 4.66 errors away, 3.353 are asked.
    seen = leak(sd=(0.03, 0.005, 0.05)).seen
    assert seen == pytest.approx(NormalDist().cdf(np.log(1.15) / 0.03 - TERMS.limits[0]), abs=1e-9)


def test_leakage_that_may_be_small_makes_a_change_of_it_harder_to_see():
    sure, unsure = (leak(sd=(0.025, 0.005, 0.05), leak_sd=one).seen for one in (0.0, 0.4))
    assert unsure < sure


def test_what_would_be_seen_is_seen_with_the_stated_power():
    one = leak(sd=(0.05, 0.005, 0.05))
    errors = np.log1p(one.least) / 0.05 - TERMS.limits[0]
    assert NormalDist().cdf(float(errors)) == pytest.approx(TERMS.power, abs=1e-6)


def test_the_range_holds_nine_in_ten():
    one = leak(change=(0.1, 0, 0), sd=(0.02, 0.005, 0.05))
    assert one.low == pytest.approx(np.expm1(0.1 - 1.6449 * 0.02), rel=1e-3)
    assert one.high == pytest.approx(np.expm1(0.1 + 1.6449 * 0.02), rel=1e-3)
    assert one.share == pytest.approx(np.expm1(0.1))
