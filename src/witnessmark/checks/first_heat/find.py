"""Everything a recording of a first heat shows, found once."""

from collections.abc import Mapping

import numpy as np

from witnessmark.checks.first_heat.hold import find_holds, hold_limits
from witnessmark.checks.first_heat.start import find_starts
from witnessmark.checks.first_heat.sweep import Ladder, find_sweeps, shortened
from witnessmark.checks.first_heat.trace import Trace
from witnessmark.checks.terms import Terms
from witnessmark.model.first_heat import Found, Hold, Stay, Sweep
from witnessmark.model.log import Log, Mask, Span
from witnessmark.model.plan import Doing

_ENDLESS = float("inf")


def find_heat(log: Log, terms: Terms) -> Found:
    """Key-on, cranking, runs, idles, and the holds and sweeps the phase of `terms` plans."""
    trace = Trace(log, terms)
    begun = find_starts(trace)
    runs = [run.span for run in begun.runs]
    too_long = sum(run.length for run in runs) > terms["heat_longest"]
    sweeps = {} if too_long else _sweeps(trace, runs)
    holds, sweeps = _shared_out(trace, sweeps)
    idle = (trace.speed < terms["idle_top"]) & trace.inside(runs)
    idles = tuple(trace.stretches(idle, terms["hold_blip"], terms["hold_least"]))
    return Found(
        begun.key_on, begun.cranking_shown, begun.bursts, begun.runs, idles, holds, sweeps,
        too_long,
    )  # fmt: skip


def _sweeps(trace: Trace, runs: list[Span]) -> dict[int, tuple[Sweep, ...]]:
    """Sweeps by the place of their step; what one step has found the next cannot have."""
    found: dict[int, tuple[Sweep, ...]] = {}
    for place, step in enumerate(trace.terms.phase.steps):
        if step.doing is Doing.SWEEP:
            others = [s.spans[0].start for each in found.values() for s in each]
            new = find_sweeps(trace, runs, Ladder.of(step))
            found[place] = tuple(s for s in new if s.spans[0].start not in others)
    return found


def _shared_out(
    trace: Trace, sweeps: dict[int, tuple[Sweep, ...]]
) -> tuple[dict[int, Hold], dict[int, tuple[Sweep, ...]]]:
    """Holds, and the sweeps without what belongs to a hold at the speed they begin or end at."""
    phase = trace.terms.phase
    wanted = {
        place: step.numbers["time"].value.value if "time" in step.numbers else _ENDLESS
        for place, step in enumerate(phase.steps)
        if step.doing is Doing.HOLD and "speed" in step.numbers
    }
    band = trace.terms["hold_band"]
    limits = {place: hold_limits(phase.steps[place], phase, band) for place in wanted}
    for place, found in sweeps.items():
        stay = Ladder.of(phase.steps[place]).stay
        kept: list[Sweep] = []
        for i, sweep in enumerate(found):
            others = {**sweeps, place: (*kept, sweep, *found[i + 1 :])}
            alone = find_holds(trace, limits, wanted, _taken(trace, others))
            open_ = {p: max(0.0, wanted[p] - alone[p].seconds) for p in wanted}
            share = trace.terms["time_share"]
            first = _its_share(sweep.stays[0], stay, limits, open_, share)
            last = _its_share(sweep.stays[-1], stay, limits, open_, share)
            kept.append(shortened(trace, sweep, first, last))
        sweeps = {**sweeps, place: tuple(kept)}
    return find_holds(trace, limits, wanted, _taken(trace, sweeps)), sweeps


def _its_share(
    stay: Stay, each: float, limits: Mapping[int, tuple[float, float]],
    open_: dict[int, float], share: float,
) -> float:  # fmt: skip
    """Seconds of the first or last stay that are the sweep's.

    A hold at that speed runs into the sweep: it gets what it lacks if the stay can give that (or
    the `share` of it that makes a hold), and whatever is longer than a stay of the sweep.
    """
    for place, (low, high) in limits.items():
        lacks = open_[place]
        if low <= stay.speed <= high and 0 < lacks < _ENDLESS:
            gives = stay.seconds >= lacks * share
            mine = min(each, stay.seconds - (lacks if gives else 0.0))
            mine = max(0.0, mine)
            open_[place] = max(0.0, lacks - (stay.seconds - mine))
            return mine
    return each


def _taken(trace: Trace, sweeps: Mapping[int, tuple[Sweep, ...]]) -> Mask:
    """The samples inside a sweep."""
    spans = [span for found in sweeps.values() for one in found for span in one.spans]
    mask: Mask = np.zeros(len(trace.log.time), dtype=bool)
    return mask | trace.inside([span for span in spans if span.length > 1e-6])
