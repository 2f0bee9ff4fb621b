"""Fewer points for a picture, with every peak kept and every gap left open."""

import numpy as np

from witnessmark.model.log import Floats, Log

POINTS = 2000  # about two for each pixel column of a page-wide chart


def pauses(log: Log) -> list[tuple[float, float]]:
    """Stretches in which nothing was recorded: (start, end), seconds from the first sample."""
    if len(log.time) < 2:
        return []
    ends = (log.time + log.held)[:-1]
    stopped = np.flatnonzero(log.time[1:] - ends > 1e-9)
    return [(float(ends[i]), float(log.time[i + 1])) for i in stopped]


def thinned(log: Log, values: Floats, points: int = POINTS) -> tuple[Floats, Floats]:
    """Time [s] and values to draw: at most about `points`, a NaN wherever the line must break.

    The log is cut into bins of equal time; each keeps its lowest and its highest value, at
    the moments they were read.
    """
    time = log.time
    if len(time) > points:
        kept = _extremes(time, values, points // 2)
        time, values = time[kept], values[kept]
    breaks = np.array([(start + end) / 2 for start, end in pauses(log)])
    time = np.concatenate([time, breaks])
    values = np.concatenate([values, np.full(len(breaks), np.nan)])
    order = np.argsort(time, kind="stable")
    return time[order], values[order]


def _extremes(time: Floats, values: Floats, bins: int) -> list[int]:
    edges = np.searchsorted(time, np.linspace(time[0], time[-1], bins + 1)[1:-1])
    kept: list[int] = []
    missing = np.isnan(values)
    lows, highs = np.where(missing, np.inf, values), np.where(missing, -np.inf, values)
    for first, stop in zip([0, *edges], [*edges, len(time)], strict=True):
        if first == stop:
            continue
        # A bin of nothing but gaps gives its first sample: a NaN, which breaks the line.
        ends = {int(first + lows[first:stop].argmin()), int(first + highs[first:stop].argmax())}
        kept.extend(sorted(ends))
    return kept
