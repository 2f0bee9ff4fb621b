"""Fewer points, every peak, every gap."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.model.log import Log, Source
from witnessmark.report.verdict.thin import pauses, thinned

SOURCE = Source("a.csv", "0" * 64, 1, 1)


def made(time, values):
    held = np.diff(time, append=time[-1] + 1.0).clip(max=1.0)
    return Log(SOURCE, time, held, {"x": values})


@settings(deadline=None, max_examples=40)
@given(
    n=st.integers(2, 5000),
    points=st.integers(4, 400),
    seed=st.integers(0, 2**32 - 1),
    gaps=st.floats(0, 0.5),
)
def test_lowest_and_highest_survive_and_points_are_bounded(n, points, seed, gaps):
    random = np.random.default_rng(seed)
    time = np.cumsum(random.uniform(0.01, 1.0, n))
    values = np.where(random.random(n) < gaps, np.nan, random.normal(size=n))
    shown_time, shown = thinned(made(time, values), values, points)
    assert len(shown) <= max(points, 4) + 1
    assert (np.diff(shown_time) >= 0).all()
    if np.isfinite(values).any():
        assert np.nanmax(shown) == np.nanmax(values)
        assert np.nanmin(shown) == np.nanmin(values)


def test_one_sample_over_in_two_million_is_still_drawn():
    time = np.arange(2_000_000) / 10
    values = np.full(len(time), 50.0)
    values[1_234_567] = 71.0
    shown_time, shown = thinned(made(time, values), values)
    assert len(shown) <= 2001
    assert shown_time[shown == 71.0].tolist() == [123_456.7]


def test_a_pause_breaks_the_line():
    time = np.array([0.0, 1.0, 2.0, 62.0, 63.0])
    log = made(time, np.ones(5))
    assert pauses(log) == [(3.0, 62.0)]
    shown_time, shown = thinned(log, log["x"])
    assert np.isnan(shown[shown_time == 32.5]).all()
    assert np.isfinite(shown).sum() == 5


def test_a_bin_with_nothing_to_show_breaks_the_line():
    time = np.arange(1000.0)
    values = np.where((time > 400) & (time < 600), np.nan, 1.0)
    shown_time, shown = thinned(made(time, values), values, 100)
    assert np.isnan(shown[(shown_time > 420) & (shown_time < 580)]).all()
