"""The sliding band against the plain definition: try every run."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.physics.windows import earliest_starts, longest_runs

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
