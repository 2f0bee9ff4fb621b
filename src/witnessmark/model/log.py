"""A drive log after reading: known channel names, SI units, one time base."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from witnessmark.model.channel import Column

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
_ROUNDING = 1e-9  # s


@dataclass(frozen=True)
class Source:
    """Where the log came from; the hash is of the file's bytes as received."""

    name: str
    sha256: str
    size: int  # bytes
    rows: int  # data rows in the file
    layout: str = (
        ""  # hash of its columns' names and units: logs of one logger set up alike share it
    )


@dataclass(frozen=True)
class Note:
    """Something the reader repaired or assumed: said to the user, always."""

    where: str  # "line 812", "column 'Time'"
    said: str


@dataclass(frozen=True)
class Span:
    """A stretch of the log, seconds from its first sample."""

    start: float
    end: float

    @property
    def length(self) -> float:
        """Seconds."""
        return self.end - self.start


@dataclass(frozen=True)
class Passed:
    """What went by in a stretch; None where the log does not show it."""

    seconds: float  # recorded, pauses left out
    revolutions: float | None  # of the crank
    distance: float | None  # m


@dataclass(frozen=True)
class Log:
    """Samples on one time base.

    `time` : seconds from the first sample, strictly increasing, shape (n,).
    `held` : seconds each sample stands for, i.e. to the next one, never over the gap limit: a
             pause in recording counts for nothing. Shape (n,).
    `channels` : name -> SI values, shape (n,), NaN where the log shows nothing.
    `fresh` : name -> the samples at which the channel was read; at the others its last reading
              stands. A channel that is not here was read at every sample.
    """

    source: Source
    time: Floats
    held: Floats
    channels: Mapping[str, Floats]
    columns: tuple[Column, ...] = ()
    notes: tuple[Note, ...] = ()
    started: datetime | None = None  # wall clock of the first sample, if the file says
    fresh: Mapping[str, Mask] = field(default_factory=dict)

    def __contains__(self, channel: str) -> bool:
        """Whether the log shows this channel at all."""
        return channel in self.channels

    def __getitem__(self, channel: str) -> Floats:
        """SI values of a channel; KeyError if the log does not show it."""
        return self.channels[channel]

    def first_of(self, *channels: str) -> str | None:
        """The first of these channels that the log shows."""
        return next((name for name in channels if name in self.channels), None)

    def spans(self, mask: Mask, at_least: float = 0.0) -> list[Span]:
        """Stretches where mask holds, each lasting at least so many seconds.

        A stretch ends where its last sample stops counting; a pause in recording ends it too.
        """
        # Where the mask turns on or off, then cut again at each pause inside a stretch.
        turns = np.flatnonzero(np.diff(mask, prepend=False, append=False))
        cuts = self._pauses[mask[self._pauses] & mask[self._pauses - 1]]
        begins = np.sort(np.concatenate([turns[::2], cuts]))
        stops = np.sort(np.concatenate([turns[1::2], cuts])) - 1
        starts, ends = self.time[begins], self.time[stops] + self.held[stops]
        long = ends - starts >= at_least
        return [Span(a, b) for a, b in zip(starts[long].tolist(), ends[long].tolist(), strict=True)]

    @cached_property
    def _pauses(self) -> NDArray[np.intp]:
        """Samples that come after a pause in recording."""
        return np.flatnonzero(self.time[1:] - self.time[:-1] - self.held[:-1] > _ROUNDING) + 1

    def at(self, span: Span) -> slice:
        """The samples of a span."""
        first = int(np.searchsorted(self.time, span.start, side="left"))
        # An end is a start and a length: their sum may round to just over the next sample's time.
        last = int(np.searchsorted(self.time, span.end - _ROUNDING, side="left"))
        return slice(first, max(last, first + 1))

    def during(self, span: Span, values: Floats) -> Floats:
        """The values that fall in a span."""
        return values[self.at(span)]

    def total(self, mask: Mask) -> float:
        """Seconds for which mask holds."""
        return float(self.held[mask].sum())

    def passed(self, span: Span) -> Passed:
        """Time recorded, crank revolutions and distance in a span; blanks count for nothing."""
        part = self.at(span)
        seconds = self.held[part]
        turned, travelled = (
            float(np.nansum(self.channels[name][part] * seconds)) if name in self.channels else None
            for name in ("engine_speed", "road_speed")
        )
        return Passed(float(seconds.sum()), turned, travelled)
