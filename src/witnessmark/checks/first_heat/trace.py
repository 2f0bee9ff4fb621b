"""Engine speed made steady enough to find phases in, and stretches of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from witnessmark.checks.terms import Terms
from witnessmark.model.log import Floats, Log, Mask, Span


@dataclass(frozen=True)
class Trace:
    """A log's engine speed with stray single readings and short gaps taken out."""

    log: Log
    terms: Terms

    @cached_property
    def speed(self) -> Floats:
        """rev/s, NaN where nothing was read for longer than a hand strays. Shape (n,)."""
        return _middle_of_three(_carried(self.log, self.terms["hold_blip"]))

    def stretches(self, mask: Mask, join: float = 0.0, at_least: float = 0.0) -> list[Span]:
        """Where mask holds; gaps shorter than `join` closed, then the short ones left out. s."""
        spans = joined(self.log.spans(mask), join)
        return [span for span in spans if span.length >= at_least - 1e-9]

    def inside(self, spans: Sequence[Span]) -> Mask:
        """The samples of these spans. Shape (n,)."""
        mask = np.zeros(len(self.log.time), dtype=bool)
        for span in spans:
            mask[self.slice(span)] = True
        return mask

    def slice(self, span: Span) -> slice:
        """The samples of a span; its end is the next sample's time but for rounding."""
        first = int(np.searchsorted(self.log.time, span.start - 1e-6))
        return slice(first, max(int(np.searchsorted(self.log.time, span.end - 1e-6)), first + 1))


def joined(spans: Sequence[Span], gap: float) -> list[Span]:
    """Spans with gaps shorter than so many seconds closed."""
    found: list[Span] = []
    for span in spans:
        if found and span.start - found[-1].end < gap - 1e-9:
            found[-1] = Span(found[-1].start, span.end)
        else:
            found.append(span)
    return found


def _carried(log: Log, longest: float) -> Floats:
    """Speed with its last reading standing through gaps up to so many seconds."""
    speed = log["engine_speed"]
    there = ~np.isnan(speed)
    if there.all():
        return speed
    last = np.maximum.accumulate(np.where(there, np.arange(len(speed)), 0))
    young = log.time - log.time[last] <= longest
    return np.where(young, speed[last], np.nan)


def _middle_of_three(values: Floats) -> Floats:
    """Median of each sample and its neighbours; edges stay, a step keeps its sample."""
    if len(values) < 3:
        return values
    before, here, after = values[:-2], values[1:-1], values[2:]
    low, high = np.minimum(before, after), np.maximum(before, after)
    middle = np.maximum(low, np.minimum(here, high))
    quiet = values.copy()
    quiet[1:-1] = np.where(np.isnan(middle), here, middle)
    return quiet
