"""Spells of a lean mixture under load."""

from bisect import bisect_left
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.checks.case import Case
from witnessmark.checks.fuelling.lambda_values import CHANNEL, Wanted, lambda_of
from witnessmark.checks.seen import and_after, load_band, read_in
from witnessmark.checks.terms import revolutions
from witnessmark.model.finding import Event
from witnessmark.model.log import Floats, Mask, Span
from witnessmark.model.said import Said
from witnessmark.physics.windows import trailing_lowest

_TWICE = 2  # readings a spell needs where a log says which of its readings are fresh
_SAME = 1e-9  # 0.05 over, written as 0.9000000001, is not more than 0.05 over


@dataclass(frozen=True)
class Lean:
    """One spell: its leanest reading, what would have been right there, and the engine speed."""

    span: Span
    leanest: float
    right: float
    speed: float

    @property
    def event(self) -> Event:
        """The spell as a moment to look at."""
        return Event(self.span, Said("{leanest} where {right} is leanest, at {speed}", {
            "leanest": lambda_of(self.leanest), "right": lambda_of(self.right),
            "speed": revolutions(self.speed),
        }))  # fmt: skip


@dataclass(frozen=True)
class LeanSpells:
    """What was lean, and what was leaner than asked for but may be meant."""

    lean: tuple[Lean, ...] = ()
    doubtful: tuple[Span, ...] = ()


def lean_spells(case: Case, values: Floats, right: Wanted) -> LeanSpells:
    """Spells leaner than right, and those that went lean in a pull that had been rich.

    Without a target in the log, lambda 1 under load out of boost may be meant: factory maps hold
    it there. An engine that was rich at no more load in the same pull and then goes lean is not
    meant to. Nothing is found where the log shows no load.
    """
    if case.loaded is None:
        return LeanSpells()
    surely = _leaner(case, values, right.leanest, case.loaded)
    found = [_lean(case, values, right.leanest, span) for span in surely]
    doubtful = []
    may_be_meant = case.loaded & (right.asked < right.leanest)
    off = np.flatnonzero(~case.loaded)
    for span in _leaner(case, values, right.asked, may_be_meant):
        if _overlaps(span, surely):
            continue
        if _had_been_rich(case, values, right, span, off):
            found.append(_lean(case, values, right.asked, span))
        else:
            doubtful.append(span)
    return LeanSpells(tuple(sorted(found, key=lambda spell: spell.span.start)), tuple(doubtful))


def _overlaps(span: Span, others: list[Span]) -> bool:
    """Whether a span shares time with one of others, which come in the order of time."""
    before = bisect_left(others, span.end, key=lambda other: other.start)
    return before > 0 and others[before - 1].end > span.start


def _leaner(case: Case, values: Floats, limit: Floats, where: Mask) -> list[Span]:
    """Spells leaner than the limit at every moment the gas may have left the engine."""
    log, lag, hold = case.log, case.terms["lambda_lag"], case.terms["lean_time"]
    over = values - case.terms["lambda_excess"] - _SAME
    pulled = where & ~and_after(log, ~where, lag)
    sure = pulled & (over > limit)
    for span in log.spans(sure, at_least=hold - _SAME):
        part = log.at(span)
        whole = slice(int(np.searchsorted(log.time, log.time[part.start] - lag)), part.stop)
        if limit[whole].min() < limit[whole].max():  # it moved: the lag matters
            leanest = -trailing_lowest(log.time[whole], -limit[whole], lag)
            sure[whole] &= over[whole] > leanest
    return [s for s in log.spans(sure, at_least=hold - _SAME) if _read_twice(case, s)]


def _read_twice(case: Case, span: Span) -> bool:
    return CHANNEL not in case.log.fresh or read_in(case.log, CHANNEL, span) >= _TWICE


def _had_been_rich(
    case: Case, values: Floats, right: Wanted, span: Span, off: NDArray[np.intp]
) -> bool:
    """Whether the mixture was as asked earlier in this pull, at no more load than now.

    `off`: the samples without load; a pull begins after the last one.
    """
    assert case.load is not None
    part, load = case.log.at(span), case.load.values
    before = int(np.searchsorted(off, part.start))
    earlier = slice(int(off[before - 1]) + 1 if before else 0, part.start)
    no_more = load[earlier] <= float(np.nanmin(load[part])) + load_band(case)
    rich = no_more & (values[earlier] <= right.asked[earlier])
    return float(case.log.held[earlier][rich].sum()) >= case.terms["lean_time"]


def _lean(case: Case, values: Floats, limit: Floats, span: Span) -> Lean:
    part = case.log.at(span)
    worst = part.start + int(np.nanargmax(values[part] - limit[part]))
    speed = float(case.log["engine_speed"][worst])
    return Lean(span, float(values[worst]), float(limit[worst]), speed)
