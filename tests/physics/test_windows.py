"""The sliding band against the plain definition: try every run."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.physics.windows import earliest_starts, longest_runs, trailing_lowest

SAMPLES = st.lists(st.integers(0, 6) | st.just(float("nan")), min_size=1, max_size=25)


def plain(values, width):
    starts = []
    for end in range(len(values)):
        runs = [
            s for s in range(end + 1)
            if not np.isnan(values[s : end + 1]).any() and np.ptp(values[s : end + 1]) <= width
        ]  # fmt: skip
        starts.append(min(runs, default=len(values)))
    return starts


@given(SAMPLES, st.integers(0, 4))
def test_earliest_starts_against_trying_every_run(samples, width):
    values = np.array(samples, dtype=float)
    assert earliest_starts(values, width).tolist() == plain(values, width)


@given(SAMPLES, st.integers(0, 4))
def test_longest_runs_stay_in_the_band_apart_and_longest_first(samples, width):
    values = np.array(samples, dtype=float)
    starts = earliest_starts(values, width)
    runs = longest_runs(starts, at_least=1)
    lengths = [last - first + 1 for first, last in runs]
    assert lengths == sorted(lengths, reverse=True)
    used = [i for first, last in runs for i in range(first, last + 1)]
    assert len(used) == len(set(used))
    for first, last in runs:
        assert np.ptp(values[first : last + 1]) <= width
    if lengths:
        assert lengths[0] == max(i - s + 1 for i, s in enumerate(plain(values, width)))
    else:
        assert np.isnan(values).all()


@given(SAMPLES, st.floats(0, 8), st.data())
def test_trailing_lowest_against_looking_back_from_every_sample(samples, window, data):
    steps = data.draw(st.lists(st.floats(0.1, 3), min_size=len(samples), max_size=len(samples)))
    time, values = np.cumsum(steps), np.array(samples, dtype=float)
    expected = []
    for i, now in enumerate(time):
        seen = [v for v in values[: i + 1][time[: i + 1] >= now - window] if not np.isnan(v)]
        expected.append(min(seen, default=np.nan))
    np.testing.assert_equal(trailing_lowest(time, values, window), expected)
