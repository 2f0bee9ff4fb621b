"""Whether a channel can be true: what is damaged is taken out, what is false is refused."""

from dataclasses import dataclass

import numpy as np

from witnessmark.logs.table import Index
from witnessmark.model.channel import Channel
from witnessmark.model.log import Floats

_BLOCK = 1 << 14  # readings looked at in one go, to stay in the processor's cache

# Reading conventions, not limits on any engine.
_WINDOW = (
    0.25  # s; a reading may have stood since an earlier poll, so a move gets this long at least
)
_BAD_SHARE = 0.02  # of readings beyond reason; more, and the column is not what it says
_BAD_FEW = 2  # readings that prove nothing, however short the log
_SPIKE_SHARE = 0.005  # of lone spikes that may be taken out as noise
_MARKER_SHARE = 0.5  # of readings at one impossible value: the sensor said "no reading"


@dataclass(frozen=True)
class Examined:
    """A channel after the look. `values`: damaged readings are NaN.

    `count`: readings, `outside` of its range, `leaps` faster than possible, `spikes` alone,
    `marker`: the one impossible value that stood for "no reading". `low`/`high`: as found.
    """

    values: Floats
    count: int
    outside: int
    leaps: int
    spikes: int
    marker: float | None
    low: float
    high: float
    hurried: bool = False  # it goes on moving faster than this quantity can

    @property
    def absent(self) -> bool:
        """Nothing but one impossible value: there is no sensor."""
        return self.count > 0 and self.outside == self.count and self.marker is not None

    @property
    def bad(self) -> int:
        """Readings that speak against the whole column."""
        return self.leaps + (0 if self.marker is not None else self.outside)

    @property
    def false(self) -> bool:
        """Too much of it cannot be true."""
        return self.hurried or self.bad > max(_BAD_FEW, _BAD_SHARE * self.count)

    @property
    def removed(self) -> int:
        """Readings taken out."""
        return self.outside + self.spikes


def examine(time: Floats, values: Floats, channel: Channel) -> Examined:
    """Look a channel over. Damaged readings become NaN, in place if `values` may be written to.

    `time` [s] and `values` [SI] have shape (n,), NaN where there is no reading.
    """
    clean = _clean(values, channel)
    if clean is not None:
        return clean
    fresh = np.flatnonzero(~np.isnan(values))  # a number without end is a damaged reading
    read, when = values[fresh], time[fresh]
    if not read.size:
        return Examined(values, 0, 0, 0, 0, None, np.nan, np.nan)
    inside = (read >= channel.low) & (read <= channel.high)
    outside = int(read.size - inside.sum())
    marker = _marker(read[~inside], read.size) if outside else None
    leaps, spikes = _leaps(when, read, channel.rate, np.flatnonzero(inside))
    if (outside or spikes.size) and not values.flags.writeable:
        values = values.copy()
    seen = Examined(
        values, read.size, outside, leaps, int(spikes.size), marker,
        float(read.min()), float(read.max()),
    )  # fmt: skip
    if seen.removed:
        values[fresh[~inside]] = np.nan
        values[fresh[spikes]] = np.nan
    return seen


def _clean(values: Floats, channel: Channel) -> Examined | None:
    """The answer for a full column with nothing wrong, block by block in the cache."""
    most = channel.rate * _WINDOW
    low, high = np.inf, -np.inf
    moves = np.empty(_BLOCK)
    for start in range(0, len(values), _BLOCK):
        # One reading more than the block, so that the move across its edge counts.
        block = values[start : start + _BLOCK + 1]
        least, most_here = float(block.min()), float(block.max())
        # Comparisons with NaN are false, so a blank ends the quick way too.
        if not (least >= channel.low and most_here <= channel.high):
            return None
        low, high = min(low, least), max(high, most_here)
        if high - low > most and len(block) > 1:
            step = np.subtract(block[1:], block[:-1], out=moves[: len(block) - 1])
            if not (step.max() <= most and step.min() >= -most):
                return None
    return Examined(values, len(values), 0, 0, 0, None, low, high) if len(values) else None


def _marker(beyond: Floats, count: int) -> float | None:
    first = float(beyond[0])
    if bool((beyond == first).all()) and (
        beyond.size <= _MARKER_SHARE * count or beyond.size == count
    ):
        return first
    return None


def _leaps(when: Floats, read: Floats, rate: float, places: Index) -> tuple[int, Index]:
    """Moves faster than possible, and the lone spikes among the readings (by place)."""
    when, read = when[places], read[places]
    allowed = rate * np.maximum(np.diff(when), _WINDOW)
    moves = np.diff(read)
    fast = np.abs(moves) > allowed
    out_and_back = fast[:-1] & fast[1:] & (moves[:-1] * moves[1:] < 0)
    spikes = np.flatnonzero(out_and_back) + 1
    if spikes.size > max(1, _SPIKE_SHARE * read.size):
        return int(fast.sum()), places[:0]
    return max(int(fast.sum()) - 2 * spikes.size, 0), places[spikes]
