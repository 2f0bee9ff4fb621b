"""Sweeps: up and down between two speeds, in steps or as one slow ramp."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from witnessmark.checks.first_heat.trace import Trace
from witnessmark.model.first_heat import Pass, Stay, Sweep
from witnessmark.model.log import Floats, Span
from witnessmark.model.plan import Step
from witnessmark.physics.resample import step_means
from witnessmark.physics.staircase import crossing, stair_edges


@dataclass(frozen=True)
class Ladder:
    """A planned sweep. Speeds in rev/s, times in s."""

    bottom: float
    top: float
    rung: float
    stay: float
    rounds: float
    time: float

    @classmethod
    def of(cls, step: Step) -> "Ladder":
        """The ladder of a sweep step."""
        names = ("from", "to", "step", "each", "times", "time")
        return cls(*(step.numbers[name].value.value for name in names))

    @property
    def levels(self) -> int:
        """Speeds it stops at on the way up, both ends counted."""
        return round((self.top - self.bottom) / self.rung) + 1

    def end_slack(self, band: float) -> float:
        """How near an end of the ladder counts as that end, rev/s."""
        return max(band, self.rung / 2)


def find_sweeps(trace: Trace, runs: Sequence[Span], ladder: Ladder) -> tuple[Sweep, ...]:
    """Sweeps of one planned ladder, in the order of time. Stops between stays do not break one."""
    found = [stay for run in runs for stay in _stays(trace, run, ladder)]
    slack = ladder.end_slack(trace.terms["hold_band"])
    near = [s for s in found if ladder.bottom - slack <= s.speed <= ladder.top + slack]
    away = [s.span for s in found if s not in near]
    stays = _merged(near, ladder.rung * trace.terms["step_share"])
    chains: list[list[Pass]] = []
    for rising, part in _monotone(stays):
        one = _judged(part, rising, ladder, trace)
        if one is None:
            continue
        if chains and chains[-1][-1].stays[-1] is one.stays[0]:
            chains[-1].append(one)
        else:
            chains.append([one])
    meant = [chain for chain in chains if _meant(chain, ladder, trace)]
    return tuple(_sweep(trace, chain, runs, away) for chain in meant)


def _meant(chain: Sequence[Pass], ladder: Ladder, trace: Trace) -> bool:
    """Whether these passes were meant: two from end to end, or one nobody runs by chance."""
    return sum(one.whole for one in chain) > 1 or any(_by_plan(p, ladder, trace) for p in chain)


def _by_plan(one: Pass, ladder: Ladder, trace: Trace) -> bool:
    """Whether a pass has every step of the plan, or its speeds lie where the plan has them."""
    tolerance, heights = trace.terms["step_tolerance"], np.array(one.heights)
    on_plan = bool((np.abs(heights - ladder.rung) <= tolerance * ladder.rung).all())
    even = np.ptp(heights) <= tolerance * heights.mean()
    if one.whole and (len(one.stays) >= ladder.levels) and (on_plan or even):
        return True
    if on_plan and not one.whole and len(one.stays) >= trace.terms["sweep_stays"]:
        return True
    rungs = (np.array([stay.speed for stay in one.stays]) - ladder.bottom) / ladder.rung
    return bool((np.abs(rungs - np.round(rungs)) <= tolerance / 2).all())


def shortened(trace: Trace, sweep: Sweep, first: float, last: float) -> Sweep:
    """The sweep with its first and last stay kept to so many seconds; the rest is a hold's."""
    begin, end = sweep.stays[0], sweep.stays[-1]
    starts = max(begin.span.start, begin.span.end - first)
    ends = min(end.span.end, end.span.start + last)
    spans = tuple(
        Span(max(s.start, starts), min(s.end, ends))
        for s in sweep.spans
        if s.end > starts and s.start < ends
    )
    cut = {
        id(begin): _kept(begin, Span(min(starts, begin.span.end), begin.span.end)),
        id(end): _kept(end, Span(end.span.start, max(ends, end.span.start))),
    }
    stays = tuple(cut.get(id(s), s) for s in sweep.stays)
    passes = tuple(
        replace(one, stays=tuple(cut.get(id(s), s) for s in one.stays)) for one in sweep.passes
    )
    seconds = trace.log.total(trace.inside([s for s in spans if s.length > 1e-6]))
    return replace(sweep, passes=passes, stays=stays, spans=spans, seconds=seconds)


def _kept(stay: Stay, span: Span) -> Stay:
    return replace(stay, span=span, seconds=min(stay.seconds, span.length))


def _stays(trace: Trace, run: Span, ladder: Ladder) -> list[Stay]:
    """Stays of one run, edges to the sample, what is too short to be a stay left out."""
    terms, part = trace.terms, trace.slice(run)
    time, speed, held = trace.log.time[part], trace.speed[part], trace.log.held[part]
    cell = terms["steady_window"]
    means = step_means(time, held, speed, np.ones(len(time), dtype=bool), cell)
    at = np.flatnonzero(~np.isnan(means))
    share = terms["step_share"]
    # Worth a stair: a step of this share of the height between two stays of this share of the time.
    penalty = (share * ladder.rung) ** 2 * share * ladder.stay / cell / 2
    edges = stair_edges(means[at], penalty)
    levels = [float(means[at[a:b]].mean()) for a, b in pairwise(edges)]
    cuts = [time[0] + at[e] * cell for e in edges[:-1]]
    samples = [0, *(int(np.searchsorted(time, cut - 1e-6)) for cut in cuts[1:]), len(time)]
    sharp = _sharpened(time, speed, samples, levels, 2 * cell)
    return [
        _stay(time, held, speed, a, b, ladder)
        for a, b in pairwise(sharp)
        if b > a and time[b - 1] + held[b - 1] - time[a] >= terms["hold_least"] - 1e-9
    ]


def _sharpened(
    time: Floats, speed: Floats, edges: list[int], levels: list[float], reach: float
) -> list[int]:
    """Inner edges moved to the sample at which the speed really changes, within reach [s]."""
    found = list(edges)
    for i in range(1, len(edges) - 1):
        half = [(edges[i] + edges[i - 1]) // 2, (edges[i] + edges[i + 1]) // 2]
        first = max(half[0], int(np.searchsorted(time, time[edges[i]] - reach - 1e-6)))
        stop = min(half[1] + 1, int(np.searchsorted(time, time[edges[i]] + reach + 1e-6)))
        before, after = levels[i - 1], levels[i]
        found[i] = first + crossing(_known(speed[first:stop], before), before, after)
    return found


def _known(values: Floats, instead: float) -> Floats:
    return np.where(np.isnan(values), instead, values)


def _stay(time: Floats, held: Floats, speed: Floats, a: int, b: int, ladder: Ladder) -> Stay:
    values, since = speed[a:b], time[a:b] - time[a]
    there = ~np.isnan(values)
    rise = 0.0
    if there.sum() > 2:
        rise = float(np.polyfit(since[there], values[there], 1)[0] * since[-1])
    span = Span(float(time[a]), float(time[b - 1] + held[b - 1]))
    return Stay(span, float(np.nanmedian(values)), float(held[a:b].sum()), abs(rise) / ladder.rung)


def _merged(stays: Sequence[Stay], least: float) -> list[Stay]:
    """Neighbours at one speed as one stay: a blip or a stop lay between."""
    found: list[Stay] = []
    for stay in stays:
        last = found[-1] if found else None
        if last is not None and abs(last.speed - stay.speed) < least:
            whole = last.seconds + stay.seconds
            speed = (last.speed * last.seconds + stay.speed * stay.seconds) / whole
            slope = max(last.slope, stay.slope)
            found[-1] = Stay(Span(last.span.start, stay.span.end), speed, whole, slope)
        else:
            found.append(stay)
    return found


def _monotone(stays: Sequence[Stay]) -> list[tuple[bool, tuple[Stay, ...]]]:
    """Longest stretches that only rise or only fall, neighbours sharing the stay they turn at."""
    found = []
    first = 0
    for i in range(1, len(stays)):
        rising = stays[i].speed > stays[i - 1].speed
        turns = i + 1 == len(stays) or (stays[i + 1].speed > stays[i].speed) != rising
        if turns:
            found.append((rising, tuple(stays[first : i + 1])))
            first = i
    return found


def _judged(stays: tuple[Stay, ...], rising: bool, ladder: Ladder, trace: Trace) -> Pass | None:
    """A pass of the ladder, or None if these stays are no sweep.

    Whole: from end to end in even steps, of whatever height. Part of one: begun or ended at an
    end, in steps as planned. Else it is speed that happened to rise or fall.
    """
    slack = ladder.end_slack(trace.terms["hold_band"])
    low, high = (stays[0], stays[-1]) if rising else (stays[-1], stays[0])
    at_bottom = abs(low.speed - ladder.bottom) <= slack
    at_top = abs(high.speed - ladder.top) <= slack
    heights = np.abs(np.diff([stay.speed for stay in stays]))
    off = np.abs(heights - ladder.rung) > trace.terms["step_tolerance"] * ladder.rung
    made = Pass(stays, rising, bool(at_bottom and at_top))
    least = trace.terms["sweep_stays"]
    if made.whole:
        one_skipped = off.sum() <= (len(stays) >= least) and len(stays) >= min(least, ladder.levels)
        even = np.ptp(heights) <= 2 * trace.terms["step_tolerance"] * heights.mean()
        return made if one_skipped or (even and len(stays) >= least) else None
    begun = (at_bottom or at_top) and len(stays) >= least - 1
    return made if begun and not off.any() else None


def _sweep(
    trace: Trace, passes: Sequence[Pass], runs: Sequence[Span], away: Sequence[Span]
) -> Sweep:
    stays = [*passes[0].stays, *(stay for one in passes[1:] for stay in one.stays[1:])]
    whole = Span(stays[0].span.start, stays[-1].span.end)
    # Away from the ladder for long (idling, say) is no part of it; changing speed is.
    on_it = trace.inside(runs) & trace.inside([whole]) & ~trace.inside(away)
    spans = tuple(trace.stretches(on_it))
    ramp = float(np.median([stay.slope for stay in stays])) >= trace.terms["step_share"]
    seconds = trace.log.total(trace.inside(spans))
    return Sweep(tuple(passes), tuple(stays), spans, seconds, ramp)
