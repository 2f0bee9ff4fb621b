"""The readings of one channel as they were taken, without the copies that stand between them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from witnessmark.model.log import Floats, Log, Span

Index = NDArray[np.intp]
Runs = Sequence[tuple[int, int]]  # first and last reading of each run, both included

SAMPLE = 16_384  # readings that stand for all in a statistic: a median's error is under 1 %
CHUNKS = 8
_BLOCK = 1 << 15  # values that stay in the processor's cache


@dataclass(frozen=True)
class Readings:
    """One channel. `sample` None: read at every sample of the log.

    `values` : SI, shape (r,), no NaN. `clock` : time without the pauses of the recording. [s] (r,)
    """

    log: Log
    sample: Index | None
    values: Floats
    clock: Floats
    whole: float  # length of the recording [s]
    ends: tuple[float, float] | None = None  # least and greatest value, where known already

    def __len__(self) -> int:
        """How many."""
        return len(self.values)

    @cached_property
    def low(self) -> float:
        """Least value."""
        return self._ends[0]

    @cached_property
    def high(self) -> float:
        """Greatest value."""
        return self._ends[1]

    @cached_property
    def _ends(self) -> tuple[float, float]:
        return ends_of(self.values) if self.ends is None else self.ends

    @cached_property
    def chunks(self) -> list[slice]:
        """All readings, or of very many a few stretches spread over the log."""
        if len(self) <= SAMPLE:
            return [slice(0, len(self))]
        size = SAMPLE // CHUNKS
        starts = np.linspace(0, len(self) - size, CHUNKS).astype(int)
        return [slice(int(a), int(a) + size) for a in starts]

    @cached_property
    def interval(self) -> float:
        """Usual time between two readings; 0 with one. Of very many, by a sample of them. [s]"""
        steps = np.concatenate([np.diff(self.clock[part]) for part in self.chunks])
        return float(np.median(steps)) if len(steps) else 0.0

    @cached_property
    def longest(self) -> float:
        """Longest time without a reading, at the ends of the recording too. [s]"""
        if self.sample is None:
            return float(self.log.held.max())
        between = float(np.diff(self.clock).max()) if len(self) > 1 else 0.0
        return max(between, float(self.clock[0]), self.whole - float(self.clock[-1]))

    @cached_property
    def distinct(self) -> Floats:
        """The different values of a sample of the readings, rising."""
        found: Floats = np.unique(np.concatenate([self.values[part] for part in self.chunks]))
        return found

    def span(self, first: int, last: int) -> Span:
        """From one reading until the one after another was due."""
        a, b = (first, last) if self.sample is None else (self.sample[first], self.sample[last])
        time, held = self.log.time, float(self.log.held[b])
        end = float(time[b]) + (held if self.sample is None else max(held, self.interval))
        after = b + 1 if self.sample is None else self._after(last)
        # Never past the next reading, not even by the last bit of a sum.
        return Span(float(time[a]), min(end, float(time[after])) if after < len(time) else end)

    def _after(self, last: int) -> int:
        """The sample of the reading after one; past the end if there is none."""
        assert self.sample is not None
        more = last + 1 < len(self.sample)
        return int(self.sample[last + 1]) if more else len(self.log.time)


def ends_of(values: Floats) -> tuple[float, float]:
    """Least and greatest, NaN if one is; block by block, so that memory is read once."""
    blocks = [values[i : i + _BLOCK] for i in range(0, len(values), _BLOCK)]
    found = np.array([(block.min(), block.max()) for block in blocks])
    return float(found[:, 0].min()), float(found[:, 1].max())


def clock_of(log: Log) -> Floats:
    """The log's time with the pauses of the recording taken out. [s]"""
    if not len(log.time) or log.time[-1] - log.time[0] - log.held[:-1].sum() < 1e-6:
        return log.time
    whole: Floats = np.cumsum(log.held)
    return whole - log.held


def readings(log: Log, channel: str, clock: Floats) -> Readings | None:
    """The readings of a channel; None if it has none."""
    values, fresh = log[channel], log.fresh.get(channel)
    whole = float(clock[-1] + log.held[-1])
    ends = ends_of(values) if fresh is None else (0.0, 0.0)
    if fresh is None and np.isnan(ends[0]):
        fresh = np.isfinite(values)
    elif fresh is not None:
        fresh = fresh & np.isfinite(values)
    if fresh is None:
        return Readings(log, None, values, clock, whole, ends)
    sample = np.flatnonzero(fresh)
    return Readings(log, sample, values[sample], clock[sample], whole) if len(sample) else None
