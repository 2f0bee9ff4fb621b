import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.physics.resample import step_means


def means(time, values, step, held=None, where=None):
    time, values = np.asarray(time, float), np.asarray(values, float)
    held = np.diff(time, append=time[-1] + step) if held is None else np.asarray(held, float)
    where = np.ones(len(time), bool) if where is None else np.asarray(where)
    return step_means(time, held, values, where, step)


def test_a_held_value_is_weighed_by_how_long_it_is_held():
    # 10 for 0.25 s and 20 for 0.75 s: by hand 17.5.
    assert means([0.0, 0.25], [10.0, 20.0], 1.0, held=[0.25, 0.75]) == pytest.approx([17.5])


def test_a_slow_sample_fills_every_step_it_spans():
    assert means([0.0, 3.0], [5.0, 8.0], 1.0, held=[3.0, 1.0]) == pytest.approx([5, 5, 5, 8])


def test_a_step_mostly_in_a_pause_is_nan():
    found = means([0.0, 5.0], [5.0, 8.0], 1.0, held=[1.0, 1.0])
    assert np.isnan(found).tolist() == [False, True, True, True, True, False]


def test_nan_and_left_out_samples_count_for_nothing():
    found = means([0, 1, 2], [1.0, np.nan, 3.0], 1.0, where=[True, True, False])
    assert np.isnan(found).tolist() == [False, True, True]


@given(
    st.lists(st.floats(0.01, 3.0), min_size=1, max_size=30),
    st.sampled_from([0.25, 0.5, 1.0]),
)
def test_the_integral_is_kept(gaps, step):
    # Time-weighted means over whole steps add up to the area under the held signal.
    time = np.r_[0.0, np.cumsum(gaps)]
    values = np.arange(1.0, len(time) + 1)
    whole = np.ceil(time[-1] / step + 1) * step
    held = np.diff(time, append=whole)
    found = step_means(time, held, values, np.ones(len(time), bool), step)
    assert np.nansum(found) * step == pytest.approx(float(np.sum(values * held)), rel=1e-9)
