import numpy as np
import pytest
from numpy.testing import assert_allclose

from witnessmark.physics.chance import chance_of_meeting
from witnessmark.physics.medians import medians


def test_medians_are_those_of_sorting_to_half_a_step():
    noise = np.random.default_rng(1)
    cell, values = noise.integers(0, 7, 5000), noise.normal(300, 40, 5000)
    found, seconds = medians(cell, values, np.ones(5000), 8)
    # numpy.median of each cell; off by half a step of 1,024 over the range, and by the gap
    # between the two middle values, some thousandths of it here.
    wanted = [np.median(values[cell == k]) for k in range(7)]
    assert_allclose(found[:7], wanted, atol=np.ptp(values) / 1024)
    assert np.isnan(found[7])
    assert seconds.sum() == 5000


def test_a_median_is_by_time_and_not_by_count():
    found, _ = medians(np.zeros(3, dtype=np.int64), np.array([1.0, 2.0, 9.0]),
                       np.array([1.0, 1.0, 5.0]), 1)  # fmt: skip
    assert found[0] == pytest.approx(9.0, abs=0.01)


def test_equal_values_are_their_own_median():
    found, _ = medians(np.zeros(4, dtype=np.int64), np.full(4, 5.0), np.ones(4), 1)
    assert found[0] == 5.0


def test_chance_counts_every_shift():
    marks, where = np.zeros(12, dtype=bool), np.zeros(12, dtype=bool)
    marks[[2, 6]], where[[2, 6]] = True, True
    met, chance = chance_of_meeting(marks, where, 1)
    # By hand: of the 11 other shifts none meets both marks (4 and 8 meet one), so 1 of 12.
    assert met == 2
    assert chance == pytest.approx(1 / 12)


def test_marks_with_nothing_to_do_with_it_seldom_look_rare():
    # Under no effect the share of logs called rarer than p is p: 200 made logs, p = 0.1, within
    # three standard deviations of a binomial, 200 * 0.1 +- 3 * sqrt(200 * 0.1 * 0.9) = 20 +- 13.
    rare = 0
    for seed in range(200):
        noise = np.random.default_rng(seed)
        where = np.repeat(noise.random(100) < 0.2, 20)
        marks = noise.random(2000) < 0.01
        rare += chance_of_meeting(marks, where, 5)[1] <= 0.1
    assert rare <= 33


def test_a_grid_too_short_to_shift_tells_nothing():
    assert chance_of_meeting(np.ones(5, dtype=bool), np.ones(5, dtype=bool), 3) == (5, 1.0)
