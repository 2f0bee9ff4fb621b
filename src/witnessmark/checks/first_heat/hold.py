"""Time held near a planned speed, whatever came between."""

from collections.abc import Mapping

import numpy as np

from witnessmark.checks.first_heat.trace import Trace
from witnessmark.model.first_heat import Hold
from witnessmark.model.log import Mask
from witnessmark.model.plan import Phase, Step


def hold_limits(step: Step, phase: Phase, band: float) -> tuple[float, float]:
    """Speeds that count for a hold, rev/s.

    Within the hand's `band` of the planned speed. A plan that asks for no proof of the hold lets
    it vary: then anywhere the recipe says others hold it.
    """
    wanted = step.numbers["speed"]
    low, high = wanted.value.value - band, wanted.value.value + band
    if "hold_time" not in phase.evidence and wanted.low is not None and wanted.high is not None:
        return min(low, wanted.low.value), max(high, wanted.high.value)
    return low, high


def find_holds(
    trace: Trace, limits: Mapping[int, tuple[float, float]], wanted: Mapping[int, float],
    taken: Mask,
) -> dict[int, Hold]:  # fmt: skip
    """Holds by the place of their step.

    `limits` : speeds that count, by place, rev/s.
    `wanted` : seconds planned, by place: where two holds share a speed, the first is filled
               first. A stretch inside a sweep (`taken`) is no hold.
    """
    free = ~taken
    found = {}
    for place, (low, high) in limits.items():
        shared = any(
            later > place and low <= other[1] and other[0] <= high
            for later, other in limits.items()
        )
        hold, used = _hold(trace, low, high, free, wanted[place] if shared else None)
        found[place] = hold
        free = free & ~used
    return found


def _hold(
    trace: Trace, low: float, high: float, free: Mask, most: float | None
) -> tuple[Hold, Mask]:
    """One hold, cut off when it has the seconds it may have, and the samples it is made of."""
    terms, log = trace.terms, trace.log
    near = (trace.speed >= low - 1e-9) & (trace.speed <= high + 1e-9) & free
    spans = trace.stretches(near, terms["hold_blip"], terms["hold_least"])
    counted = near & trace.inside(spans)
    if most is not None:
        counted &= np.cumsum(np.where(counted, log.held, 0.0)) <= most + 1e-6
        spans = trace.stretches(counted, terms["hold_blip"])
    seconds = round(log.total(counted), 6)  # adding up tenths leaves crumbs
    return Hold(low, high, tuple(spans), seconds), counted
