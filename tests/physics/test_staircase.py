"""Where a noisy staircase steps: held against every way of cutting it, and against its maker."""

from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.staircase import crossing, stair_edges


def misfit(values, edges, penalty):
    parts = [values[a:b] for a, b in pairwise(edges)]
    return sum(((p - p.mean()) ** 2).sum() for p in parts) + penalty * (len(parts) - 1)


@given(st.lists(st.floats(-50, 50), min_size=1, max_size=9), st.floats(0.1, 500))
def test_no_other_way_of_cutting_is_better(values, penalty):
    values = np.array(values)
    found = misfit(values, stair_edges(values, penalty), penalty)
    inner = range(1, len(values))
    every = (
        misfit(values, [0, *cut, len(values)], penalty)
        for k in range(len(values))
        for cut in combinations(inner, k)
    )
    assert_allclose(found, min(every), rtol=1e-9, atol=1e-6)


@pytest.mark.parametrize("more", [0.99, 1.01])
def test_two_equal_stairs_are_worth_half_their_length_times_height_squared(more):
    # The docstring's n h²/2, from the variance of two equal groups: exact, by algebra.
    n, h = 12, 7.0
    values = np.r_[np.zeros(n), np.full(n, h)]
    assert len(stair_edges(values, more * n * h**2 / 2)) == (3 if more < 1 else 2)


def test_nothing_and_one_sample():
    assert stair_edges(np.array([]), 1.0) == [0]
    assert stair_edges(np.array([4.0]), 1.0) == [0, 1]


@given(st.integers(0, 20), st.integers(0, 20))
def test_a_clean_step_is_found_at_its_sample(before, after):
    values = np.r_[np.full(before, 3.0), np.full(after, 9.0)]
    assert crossing(values, 3.0, 9.0) == before
