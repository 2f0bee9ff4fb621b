"""Key-on, cranking, fires and stops in a recording."""

from dataclasses import dataclass

import numpy as np

from witnessmark.checks.first_heat.trace import Trace, joined
from witnessmark.checks.pressure.pressure_wait import PRESSURE, wait_for_pressure
from witnessmark.model.first_heat import Burst, Ended, Run
from witnessmark.model.log import Mask, Span


@dataclass(frozen=True)
class Starting:
    """How the engine was started and stopped."""

    key_on: Span | None
    cranking_shown: bool
    bursts: tuple[Burst, ...]
    runs: tuple[Run, ...]


def find_starts(trace: Trace) -> Starting:
    """Key-on, bursts of cranking and stretches of running, to the sample.

    It runs where it turns faster than a starter turns it for `fire_least` or more; a dip shorter
    than `stall_least` is a bad reading. It cranks where it turns slower than that; what follows
    a run at once and is short is the engine running down.
    """
    terms, speed = trace.terms, trace.speed
    fast = speed > terms["running_speed"]
    # First what lasts, then what belongs together: a starter's pulses may pass the line in spikes.
    running = joined(trace.stretches(fast, at_least=terms["fire_least"]), terms["stall_least"])
    still = speed < terms["crank_from"]
    turning = ~still & ~np.isnan(speed) & ~trace.inside(running)
    turned = trace.stretches(turning, terms["crank_least"])
    cranked = [span for span in turned if _by_the_starter(trace, span, running)]
    bursts = tuple(_burst(trace, span, running) for span in cranked)
    return Starting(
        _key_on(trace, still), _shows_cranking(trace, running, cranked), bursts,
        tuple(_run(trace, running, i, cranked) for i in range(len(running))),
    )  # fmt: skip


def _by_the_starter(trace: Trace, span: Span, running: list[Span]) -> bool:
    terms, speed = trace.terms, trace.speed[trace.slice(span)]
    if np.median(speed) > terms["running_speed"]:
        return False  # the first or last moment of a run, cut short by the recording
    if not any(abs(run.end - span.start) < 1e-6 for run in running):
        return span.length >= terms["crank_least"] - 1e-9 or _meets_run(span, running)
    # After a run the engine comes to rest by itself: a starter would keep it turning.
    half = (len(speed) + 1) // 2
    falls = speed[:half].mean() - speed[-half:].mean()
    return bool(span.length >= terms["stall_least"] - 1e-9 and falls < terms["crank_from"])


def _meets_run(span: Span, running: list[Span]) -> bool:
    return any(abs(run.start - span.end) < 1e-6 for run in running)


def _burst(trace: Trace, span: Span, running: list[Span]) -> Burst:
    pressure = None
    if PRESSURE in trace.log:
        read = trace.log[PRESSURE][trace.slice(span)]
        pressure = None if np.isnan(read).all() else float(np.nanmax(read))
    return Burst(span, _meets_run(span, running), pressure)


def _key_on(trace: Trace, still: Mask) -> Span | None:
    read = np.flatnonzero(~np.isnan(trace.speed))
    if not len(read) or not still[read[0]]:
        return None
    return trace.stretches(still)[0]


def _shows_cranking(trace: Trace, running: list[Span], cranked: list[Span]) -> bool:
    """Whether this log would show the starter turning: it did, or no start says otherwise."""
    started = [run for run in running if _began(trace, run)]
    return bool(cranked) or not started


def _began(trace: Trace, run: Span) -> bool:
    """Whether the sample before a run is there, and shows an engine that did not run."""
    first = trace.slice(run).start
    if first == 0:
        return False
    unbroken = trace.log.time[first] - trace.log.time[first - 1] <= trace.log.held[first - 1] + 1e-9
    return bool(unbroken and not np.isnan(trace.speed[first - 1]))


def _run(trace: Trace, running: list[Span], i: int, cranked: list[Span]) -> Run:
    run = running[i]
    began = _began(trace, run)
    wait = None
    if began and PRESSURE in trace.log:
        wait = wait_for_pressure(trace.log, trace.terms, run)
    # A wait as long as the run: it never came.
    came = wait if wait is not None and wait < run.length - 1e-9 else None
    return Run(run, began, came, _ended(trace, running, i, cranked))


def _ended(trace: Trace, running: list[Span], i: int, cranked: list[Span]) -> Ended:
    log, run = trace.log, running[i]
    after = trace.slice(run).stop
    if after >= len(log.time):
        return Ended.LOG_ENDS
    if log.time[after] - run.end > 1e-6 or np.isnan(trace.speed[after]):
        return Ended.UNSEEN
    again = [span.start for span in (*cranked, *running[i + 1 :]) if span.start >= run.end - 1e-6]
    if again and min(again) - run.end <= trace.terms["stall_restart"]:
        return Ended.STALL
    return Ended.BY_HAND
