import numpy as np
from numpy.testing import assert_allclose

from witnessmark.physics.lag import follow


def test_a_step_is_63_per_cent_there_after_one_lag():
    # First-order instrument: 1 - 1/e of a step after one time constant (any textbook).
    time = np.arange(0.0, 50.0, 0.1)
    step = np.where(time > 0, 1.0, 0.0)
    assert_allclose(follow(time, step, 5.0)[50], 1 - np.exp(-1), rtol=1e-6)


def test_a_ramp_is_followed_one_lag_behind():
    # Same instrument on a ramp: behind by slope times time constant once it has settled; sampling
    # every 0.01 s holds each value for half a step too long.
    time = np.arange(0.0, 60.0, 0.01)
    assert_allclose(3 * time[-1] - follow(time, 3 * time, 4.0)[-1], 12.0, atol=0.03)


def test_without_a_lag_nothing_changes():
    values = np.array([1.0, 5.0, 2.0])
    assert follow(np.arange(3.0), values, 0.0) is values


def test_the_last_value_holds_over_a_gap():
    time = np.arange(10.0)
    values = np.where((time > 3) & (time < 6), np.nan, 7.0)
    assert_allclose(follow(time, values, 2.0), 7.0)
