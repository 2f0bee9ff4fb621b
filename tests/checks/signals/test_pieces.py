"""The pure functions: steps, runs, piles, drops, repeats."""

from dataclasses import replace
from itertools import groupby

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.checks.signals.ends import dropped, pile, runs_of
from witnessmark.checks.signals.repeats import refresh_interval
from witnessmark.checks.signals.rules import rules
from witnessmark.checks.signals.steps import smallest_step
from witnessmark.checks.signals.still import still_runs

RULE = rules().readings
SMOOTH = np.random.default_rng(3)


@pytest.mark.parametrize("step", [0.25 / 60, 4e3, 1.0, 0.5556, 100 / 255 / 100])
def test_step_of_a_quantised_signal_is_found(step):
    values = np.round(SMOOTH.normal(0, 40, 5000)) * step + 273.15
    assert_allclose(smallest_step(np.unique(values)), step, rtol=1e-6)


def test_step_is_common_to_all_gaps_not_the_least_of_them():
    assert_allclose(smallest_step(np.array([0.0, 20.0, 50.0])), 10.0)


def test_step_under_a_rounding_is_found_within_what_the_rounding_leaves():
    # A byte scaled to per cent and written with one decimal: 100/255 = 0.392.
    values = np.round(np.arange(10, 200) * 100 / 255, 1)
    assert_allclose(smallest_step(values), 100 / 255, rtol=0.01)


def test_no_step_in_a_continuous_signal_and_none_in_one_value():
    assert smallest_step(np.unique(SMOOTH.normal(0, 1, 4000))) is None
    assert smallest_step(np.array([7.0])) is None


@given(st.integers(0, 2**32), st.integers(30, 200), st.floats(0.01, 100), st.floats(-1e3, 1e3))
def test_step_does_not_hang_on_offset_or_scale(seed, count, scale, offset):
    levels = np.random.default_rng(seed).choice(600, count, replace=False).astype(float)
    levels = np.unique(levels) * 3.0
    plain, moved = smallest_step(levels), smallest_step(levels * scale + offset)
    assert_allclose(moved, plain * scale, rtol=1e-4)  # what a float keeps of 1e3 + 0.01


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(1, 40)), max_size=30), st.integers(2, 25))
def test_still_runs_are_those_a_plain_loop_finds(parts, least):
    values = np.concatenate([np.full(n, v, dtype=float) for v, n in parts] or [np.zeros(0)])
    expected, place = [], 0
    for _, group in groupby(values.tolist()):
        length = len(list(group))
        if length >= least:
            expected.append((place, place + length - 1))
        place += length
    assert list(still_runs(values, least)) == expected


@given(st.lists(st.booleans(), min_size=1, max_size=60))
def test_runs_of_a_mask_are_those_a_plain_loop_finds(bits):
    expected, place = [], 0
    for value, group in groupby(bits):
        length = len(list(group))
        if value:
            expected.append((place, place + length - 1))
        place += length
    assert list(runs_of(np.array(bits))) == expected


def sine(n=4000, period=400.0, step=None):
    values = np.sin(np.arange(n) * 2 * np.pi / period)
    return values if step is None else np.round(values / step) * step


@pytest.mark.parametrize("step", [None, 0.01, 0.05, 0.2])
def test_the_top_of_a_sine_is_not_a_pile(step):
    values = sine(step=step)
    assert list(pile(values, values.min(), values.max(), step, RULE)) == []


@pytest.mark.parametrize("step", [None, 0.01])
def test_a_sine_cut_off_is_a_pile_found_to_the_sample(step):
    whole = sine(period=90.0, step=step)
    cut = np.minimum(whole, 0.6)
    visits = pile(cut, cut.min(), cut.max(), step, RULE)
    assert list(visits) == list(runs_of(whole >= 0.6 - 1e-12))


def test_a_value_that_settles_at_its_end_by_single_steps_is_not_a_pile():
    warm = np.round(np.minimum(20 + np.arange(3000) * 0.1, 88))
    assert list(pile(warm, warm.min(), warm.max(), 1.0, RULE)) == []


@given(st.floats(0.1, 1e3), st.floats(-1e3, 1e3))
def test_a_pile_does_not_hang_on_offset_or_scale(scale, offset):
    cut = np.minimum(sine(period=90.0, step=0.01), 0.6)
    moved = cut * scale + offset
    found = pile(moved, moved.min(), moved.max(), 0.01 * scale, RULE)
    assert list(found) == list(pile(cut, cut.min(), cut.max(), 0.01, RULE))


def test_falls_to_the_end_and_back_are_found_to_the_sample():
    clock = np.arange(1000) * 0.1
    values = 80 + 5 * np.sin(clock / 7)
    values[100:103] = -20.0
    values[500] = -20.0
    assert list(dropped(clock, values, -20.0, None, 20.0, 5.0, 0.5)) == [(100, 102), (500, 500)]


def test_a_fall_that_lasts_or_does_not_come_back_is_none():
    clock = np.arange(1000) * 0.1
    values = 80 + 5 * np.sin(clock / 7)
    values[100:180] = -20.0  # 8 s
    values[900:] = -20.0
    assert list(dropped(clock, values, -20.0, None, 20.0, 5.0, 0.5)) == []


def test_the_bottom_of_a_signal_that_gets_there_by_steps_is_no_drop():
    clock = np.arange(1000) * 0.1
    values = np.abs(80 - 40 * np.abs(np.sin(clock / 2)))
    assert list(dropped(clock, values, values.min(), None, 20.0, 5.0, 0.5)) == []


def test_readings_written_ten_times_over_are_told_from_fresh_ones():
    fresh = np.cumsum(SMOOTH.normal(0, 20, 400))
    clock = np.arange(4000) * 0.01
    again = refresh_interval(clock, np.repeat(np.round(fresh), 10), 1.0, RULE)
    assert_allclose(again, 0.1)
    each = np.round(np.cumsum(SMOOTH.normal(0, 20, 4000)))
    assert refresh_interval(clock, each, 1.0, RULE) is None


def test_a_slow_channel_that_moves_by_single_steps_is_not_called_repeated():
    clock = np.arange(20_000) * 0.01
    warm = np.round(20 + clock / 3)
    lenient = replace(RULE, repeat_changes=10)
    assert refresh_interval(clock, warm, 1.0, lenient) is None
