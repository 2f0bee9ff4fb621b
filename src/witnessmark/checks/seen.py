"""Whether the readings of a channel can bear a judgement, and masks that several checks share."""

from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from witnessmark.checks.case import Case
from witnessmark.model.finding import Answer, Event, Finding, Tabled
from witnessmark.model.log import Floats, Log, Mask, Span
from witnessmark.model.plan import Limit
from witnessmark.model.said import Said
from witnessmark.physics.resample import Steps
from witnessmark.units import Quantity

Item = TypeVar("Item", bound=np.generic)

_SAMPLE = 16_384  # readings; the error of a middle of so many is under 1 % of their spread


def every(case: Case, channel: str) -> float:
    """Usual seconds from one reading of a channel to the next; inf if there is none."""
    signal = case.truth.get(channel)
    return signal.interval if signal is not None and signal.readings > 1 else float("inf")


def sample(values: NDArray[Item]) -> NDArray[Item]:
    """Few of many readings, evenly spread: enough for a middle or a share."""
    return values[:: max(1, len(values) // _SAMPLE)]


def read_in(log: Log, channel: str, span: Span) -> int:
    """How often a channel was freshly read in a span."""
    part = log.at(Span(span.start, span.end - 1e-9))  # not the sample that begins at its end
    fresh = log.fresh.get(channel)
    return int(np.count_nonzero(fresh[part])) if fresh is not None else part.stop - part.start


def is_stuck(values: Floats, where: Mask) -> bool:
    """Whether a channel shows one and the same value wherever it is shown at all."""
    few = sample(values)[sample(where)]
    few = few[~np.isnan(few)]
    if len(few) and few.min() != few.max():
        return False
    shown = values[where & ~np.isnan(values)]
    return len(shown) > 0 and bool(shown.min() == shown.max())


def and_after(log: Log, mask: Mask, seconds: float) -> Mask:
    """Where a mask holds, and for so long after it."""
    ends = np.flatnonzero(mask[:-1] & ~mask[1:])
    if not len(ends):
        return mask
    after = mask.copy()
    stops = np.searchsorted(log.time, log.time[ends] + seconds, side="right")
    # Only the last of several ends that reach into one another needs its own stretch.
    apart = np.r_[stops[:-1] < ends[1:], True]
    begins = ends[np.r_[0, np.flatnonzero(apart[:-1]) + 1]] + 1
    for begin, stop in zip(begins.tolist(), stops[apart].tolist(), strict=True):
        after[begin:stop] = True
    return after


def overrun(case: Case) -> Mask:
    """Where the fuel is cut, or may be: the cut itself if logged, else a shut throttle in gear."""
    cut = np.zeros(len(case.log.time), dtype=bool)
    if "fuel_cut" in case.log:
        cut |= case.log["fuel_cut"] > 0
    if case.closed is not None:
        cut |= case.closed[0] & (case.log["engine_speed"] > case.terms["idle_top"])
    return cut


def steps(case: Case, where: Mask, step: float) -> Steps:
    """Equal steps of time over the samples that count; no signal may be NaN there."""
    return Steps(case.log.time, case.log.held, where, step)


def cell(value: Quantity) -> Said:
    """A quantity alone, as a cell of a table."""
    return Said("{value}", {"value": value})


def span_cell(low: Quantity, high: Quantity) -> Said:
    """From one quantity to another, as a cell of a table."""
    return Said("{low} to {high}", {"low": low, "high": high})


def load_limit(case: Case) -> float:
    """The load over which this log counts as loaded."""
    names = {"manifold_pressure": "load_pressure", "engine_load": "load_fraction"}
    channel = "" if case.load is None else case.load.channel
    return case.terms[names.get(channel, "load_pedal")]


def load_band(case: Case) -> float:
    """How far either side load may move and still be steady."""
    pressure = case.load is not None and case.load.channel == "manifold_pressure"
    return case.terms["cruise_pressure_band" if pressure else "cruise_load_band"]


def load_width(case: Case) -> float:
    """Height of a cell of the load this log has."""
    pressure = case.load is not None and case.load.channel == "manifold_pressure"
    return case.terms["cell_pressure" if pressure else "cell_load"]


def found(
    case: Case, check: str, title: str, channels: Sequence[str], answer: Answer, said: Said,
    limit: Limit, *, do_next: Said | None = None, events: tuple[Event, ...] = (),
    table: Tabled | None = None,
) -> Finding:  # fmt: skip
    """A finding the phase requires only if it needs one of the channels.

    Kept with something to do next is kept with a question.
    """
    required = case.terms.needs(*channels)
    authority = limit.authority
    asks = answer is Answer.KEPT and do_next is not None
    return Finding(check, title, answer, said, required, authority, events, do_next, table, asks)
