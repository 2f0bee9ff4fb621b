"""Stretches of a sampled signal that stay within a band."""

from collections import deque

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_BLOCK = 1 << 14  # samples
_SPARE = 3  # samples before the window, to see where it begins without a search


def earliest_starts(values: Floats, width: float) -> NDArray[np.int64]:
    """For each sample, the earliest start of a run ending there that stays within a width.

    Parameters
    ----------
    values : Samples, any unit; NaN never belongs to a run. Shape (n,).
    width : Greatest minus least value allowed in a run, same unit as values.

    Returns
    -------
    Index of the earliest start, n where the sample is NaN. Shape (n,), [-].

    Limits: each sample enters and leaves each queue once, so time grows with n.
    Source: the usual two monotone queues for a sliding minimum and maximum.
    """
    least: deque[int] = deque()
    most: deque[int] = deque()
    starts = np.full(len(values), len(values), dtype=np.int64)
    start = 0
    for i, value in enumerate(values.tolist()):
        if np.isnan(value):
            least.clear()
            most.clear()
            start = i + 1
            continue
        while least and values[least[-1]] >= value:
            least.pop()
        while most and values[most[-1]] <= value:
            most.pop()
        least.append(i)
        most.append(i)
        while values[most[0]] - values[least[0]] > width:
            start += 1
            if least[0] < start:
                least.popleft()
            if most[0] < start:
                most.popleft()
        starts[i] = start
    return starts


def longest_runs(starts: NDArray[np.int64], at_least: int) -> list[tuple[int, int]]:
    """Runs of at least so many samples that do not overlap, longest first.

    Parameters
    ----------
    starts : Earliest start of the run ending at each sample, n where there is none. Shape (n,).
    at_least : Samples a run must have. [-]

    Returns
    -------
    (first, last) sample of each run, both included. [-]
    """
    ends = np.arange(len(starts))
    lengths = ends - starts + 1
    # A run that could still grow at the next sample is not yet whole.
    grows = np.zeros(len(starts), dtype=bool)
    grows[:-1] = lengths[1:] > lengths[:-1]
    whole = np.flatnonzero((lengths >= at_least) & ~grows)
    free = np.ones(len(starts), dtype=bool)
    taken: list[tuple[int, int]] = []
    for end in whole[np.argsort(-lengths[whole], kind="stable")].tolist():
        first = int(starts[end])
        # No run lies inside a longer one that was taken, so its two ends tell.
        if free[first] and free[end]:
            free[first : end + 1] = False
            taken.append((first, end))
    return taken


def trailing_lowest(time: Floats, values: Floats, window: float) -> Floats:
    """Least of the values in a window of time that ends at each sample.

    Parameters
    ----------
    time : Rising. Shape (n,). [s]
    values : Any unit; NaN is passed over. Shape (n,).
    window : Length of the window, 0 or more. [s]

    Returns
    -------
    Shape (n,), unit of the values; NaN where the window holds nothing else. For the greatest,
    turn the sign of values and answer.

    Limits: time and memory grow with n, and with the logarithm of the samples in a window.
    Source: least of two overlapping blocks of a power of two (a sparse table).
    """
    lowest = np.empty(len(values))
    start = 0
    while start < len(values):
        # With the samples before that the first window reaches back to; in the cache all at once.
        lead = int(np.searchsorted(time, time[start] - window, side="left"))
        lead = max(lead - _SPARE, 0)
        stop = start + max(_BLOCK, 4 * (start - lead))
        part = slice(lead, stop)
        lowest[start:stop] = _trailing_lowest(time[part], values[part], window, start - lead)
        start = stop
    return lowest


def _trailing_lowest(time: Floats, values: Floats, window: float, skip: int) -> Floats:
    """The same for a few samples, without the first `skip` of the answer."""
    first = _firsts(time, window, skip)
    here = np.arange(skip, len(time))
    reach = here - first + 1
    least, most = (int(f(reach)).bit_length() - 1 for f in (np.min, np.max))
    lowest, table = values[skip:].copy(), values
    if least < most:
        level = np.frexp(reach)[1] - 1  # the greatest power of two that fits
    for k in range(1, most + 1):
        table = np.fmin(table[: -(1 << k - 1)], table[1 << k - 1 :])
        if least == most == k:
            return np.asarray(np.fmin(table[first], table[skip - (1 << k) + 1 :]))
        if k >= least:
            at = np.flatnonzero(level == k)
            lowest[at] = np.fmin(table[first[at]], table[here[at] - (1 << k) + 1])
    return lowest


def _firsts(time: Floats, window: float, skip: int) -> NDArray[np.intp]:
    """The first sample in the window of each one from `skip` on."""
    begins = time[skip:] - window
    # Samples at even times reach back over the same number of others, but for rounding.
    back = len(time) - 1 - int(np.searchsorted(time, begins[-1], side="left"))
    if skip > back + 1 > 1:
        size = len(begins)
        early, three, two, late = (
            time[skip - back + by : skip - back + by + size] < begins for by in (-2, -1, 0, 1)
        )
        if early.all() and not late.any():
            return np.arange(skip - back - 1, len(time) - back - 1) + three + two
    return np.searchsorted(time, begins, side="left")
