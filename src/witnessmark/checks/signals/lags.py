"""How far one channel runs behind another."""

from dataclasses import dataclass

import numpy as np

from witnessmark.checks.signals.readings import Index, Readings
from witnessmark.checks.signals.rules import Follower, LagRule
from witnessmark.model.log import Floats
from witnessmark.model.signal import Lag

_POINTS = 8_192  # of the even grid; a longer log is looked at where its leader moves most
_FINEST = 0.02  # s; no channel of an engine is followed closer than this


@dataclass(frozen=True)
class Likeness:
    """Correlation of two signals at every whole delay. `delays` in samples, both shape (k,)."""

    delays: Floats
    values: Floats


def likeness(leader: Floats, follower: Floats, most: int) -> Likeness:
    """Correlation of follower[i + d] with leader[i] for d from -most to most.

    Parameters
    ----------
    leader, follower : On one even grid, no NaN. Shape (n,), n > 2 · most.
    most : Longest delay tried. [samples]

    Returns
    -------
    Pearson's correlation of what overlaps at each delay. [-]

    Source: the usual definition; the numerator is `scipy.signal.correlate`.
    """
    n, delays = len(leader), np.arange(-most, most + 1)
    a, b = leader - leader.mean(), follower - follower.mean()
    size = 1 << (2 * n - 1).bit_length()  # room for both ends, so that nothing wraps around
    both = np.fft.irfft(np.conj(np.fft.rfft(a, size)) * np.fft.rfft(b, size), size)
    from_a, from_b = np.maximum(0, -delays), np.maximum(0, delays)
    overlap = n - np.abs(delays)
    sum_a, sum_b, square_a, square_b = (
        _sums(x, first, overlap) for x, first in ((a, from_a), (b, from_b), (a**2, from_a),
                                                  (b**2, from_b))
    )  # fmt: skip
    spread = (square_a - sum_a**2 / overlap) * (square_b - sum_b**2 / overlap)
    shared = both[delays % size] - sum_a * sum_b / overlap
    found = np.divide(shared, np.sqrt(np.maximum(spread, 0)), out=np.zeros(len(delays)),
                      where=spread > 1e-18 * (a @ a) * (b @ b))  # fmt: skip
    return Likeness(delays.astype(np.float64), found)


def _sums(values: Floats, first: Index, length: Index) -> Floats:
    """Sum of so many values from each place on."""
    before = np.concatenate([[0.0], np.cumsum(values)])
    found: Floats = before[first + length] - before[first]
    return found


def lag_of(
    leader: Readings, follower: Readings, interval: float, rule: LagRule, pair: Follower
) -> Lag | None:
    """The delay at which two channels are most alike; None where the log does not tell.

    `interval` : true time between two readings of the slower one. [s]

    The log tells where the leader moves by `excited` or more, several times, and the two are
    clearly more alike at that delay than at the ends of the search.
    """
    step = max(interval, _FINEST)
    grid = _grid(leader, follower, step)
    most = round(rule.longest / step)
    if grid is None or most < 1 or len(grid) < 6 * most:
        return None
    first, second = (
        _swings(_on_grid(r, grid), max(round(rule.window / step), 3)) for r in (leader, follower)
    )
    low, high = np.quantile(first, (0.05, 0.95))
    turns = np.count_nonzero(np.diff(first > (low + high) / 2))
    if high - low < pair.excited or turns < rule.swings:
        return None
    alike = likeness(first, second, most)
    best = int(alike.values.argmax())
    edge = max(alike.values[0], alike.values[-1])
    if not 0 < best < len(alike.values) - 1 or alike.values[best] < rule.likeness:
        return None
    if alike.values[best] - edge < 0.1:
        return None
    delay = (alike.delays[best] + _peak(alike.values[best - 1 : best + 2])) * step
    return Lag(pair.behind, float(delay), float(alike.values[best]), step / 2)


def _grid(leader: Readings, follower: Readings, step: float) -> Floats | None:
    """Even times both channels cover; of a long log the stretch in which the leader moves most."""
    start = max(float(leader.clock[0]), float(follower.clock[0]))
    end = min(float(leader.clock[-1]), float(follower.clock[-1]))
    if end - start < step:
        return None
    length = _POINTS * step
    if end - start > length:
        starts = np.linspace(start, end - length, 8)
        looks = [np.searchsorted(leader.clock, np.linspace(a, a + length, 500)) for a in starts]
        moved = [leader.values[np.minimum(at, len(leader) - 1)].std() for at in looks]
        start = float(starts[int(np.argmax(moved))])
        end = start + length
    grid: Floats = np.arange(start, end, step)
    return grid


def _on_grid(read: Readings, grid: Floats) -> Floats:
    """A channel at the times of the grid, on straight lines between its readings."""
    first = max(int(np.searchsorted(read.clock, grid[0])) - 1, 0)
    last = int(np.searchsorted(read.clock, grid[-1])) + 1
    found: Floats = np.interp(grid, read.clock[first:last], read.values[first:last])
    return found


def _swings(values: Floats, window: int) -> Floats:
    """A signal without its slow drift: less its own mean over a window."""
    window = min(window, len(values))
    padded = np.pad(values, (window // 2, window - window // 2), mode="edge")
    sums = np.cumsum(padded)
    mean = (sums[window:] - sums[:-window]) / window
    return values - mean[: len(values)]


def _peak(three: Floats) -> float:
    """Where between three neighbours their parabola has its top, -0.5 to 0.5. [samples]"""
    bend = three[0] - 2 * three[1] + three[2]
    return float(0.5 * (three[0] - three[2]) / bend) if bend < 0 else 0.0
