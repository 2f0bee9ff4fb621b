"""Stretches of a sampled signal that stay within a band."""

from collections import deque

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


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
