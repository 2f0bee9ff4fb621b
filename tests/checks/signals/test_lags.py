"""Delays: the correlation against scipy, the delay against one that was put in."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.signal import correlate, correlation_lags

from tests.checks.signals.signals import log_with
from tests.made import KPA, RPM, make_log
from witnessmark.checks.signals.lags import likeness
from witnessmark.checks.signals.truth import truth_of
from witnessmark.physics.lag import follow


def test_likeness_against_scipy_and_numpy():
    rng = np.random.default_rng(5)
    a, b = rng.normal(size=300).cumsum(), rng.normal(size=300).cumsum()
    ours = likeness(a, b, 40)
    # scipy.signal.correlate gives the sums of products; numpy.corrcoef the normalised whole.
    lags = correlation_lags(300, 300)
    best = lags[
        np.argmax(np.where(np.abs(lags) <= 40, correlate(b - b.mean(), a - a.mean()), -np.inf))
    ]
    direct = [np.corrcoef(a[max(0, -d) : 300 - max(0, d)], b[max(0, d) : 300 - max(0, -d)])[0, 1]
              for d in range(-40, 41)]  # fmt: skip
    assert_allclose(ours.values, direct, atol=1e-9)
    # Unlike scipy's sums, ours do not favour short delays: near, but not the same place.
    assert abs(ours.delays[ours.values.argmax()] - best) <= 8


def revved(step=0.05, seconds=120):
    t = np.arange(round(seconds / step)) * step
    return t, 2500 + 900 * np.sin(t / 2.3) + 400 * np.sin(t * 1.1)


@pytest.mark.parametrize("late", [0.0, 0.3, 0.75, 2.0])
def test_a_delay_put_in_is_found(late):
    t, rpm = revved()
    delayed = np.interp(t - late, t, rpm)
    log = make_log({"engine_speed": rpm * RPM, "oil_pressure": (100 + delayed / 10) * KPA}, 0.05)
    lag = truth_of(log)["oil_pressure"].lag
    # Between two readings a straight line is drawn: a fifth of their distance.
    assert_allclose(lag.seconds, late, atol=0.01)
    assert lag.behind == "engine_speed"


def test_a_slow_sender_reads_as_late_as_its_lag():
    # A first-order lag of T delays a swing of angular speed w by atan(wT)/w: 0.46 s for these.
    t, _ = revved()
    rpm = 2500 + 900 * np.sin(t / 1.5)
    slow = follow(t, rpm, 0.5)
    log = make_log({"engine_speed": rpm * RPM, "oil_pressure": (100 + slow / 10) * KPA}, 0.05)
    delay = np.arctan(0.5 / 1.5) * 1.5
    assert_allclose(truth_of(log)["oil_pressure"].lag.seconds, delay, atol=0.05)


def test_nothing_is_told_of_a_delay_at_idle_or_between_strangers():
    idle = {"engine_speed": np.full(1200, 800.0) * RPM + np.sin(np.arange(1200)) * 0.01}
    assert truth_of(log_with(**idle))["oil_pressure"].lag is None
    noise = np.round(np.random.default_rng(1).normal(300, 30, 1200)) * KPA
    assert truth_of(log_with(oil_pressure=noise))["oil_pressure"].lag is None
