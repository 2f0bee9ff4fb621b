"""Fuel pressure: whether it is held, and whether it sinks under load."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import every, found, sample
from witnessmark.checks.terms import fraction, gauge, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Mask, Span
from witnessmark.model.said import Said, Values

CHANNEL = "fuel_pressure"
CHECK, TITLE = "fuelling.pressure", "Fuel pressure"


@dataclass(frozen=True)
class Held:
    """The pressure a regulator holds: over the manifold or over the air outside. [Pa] (n,)

    `base`: its middle at light load. `spread`: how far 90 % of it lies from there at most, as a
    share of it.
    """

    values: Floats
    base: float
    spread: float
    over: str


def fuel_pressure(case: Case) -> Iterator[Finding]:
    """Pump and regulator hold their pressure, and it does not sink under load."""
    if CHANNEL not in case.log:
        fit = "Fit and log a fuel pressure sender."
        yield case.missing(CHECK, TITLE, "fuel pressure", needs=CHANNEL, fit=fit)
        return
    limit = case.terms.limits["fuel_pressure_droop"]
    calm = _calm(case)
    held = _held(case, calm)
    if held is None:
        said = Said("Hardly read at light load, so there is nothing to hold the rest against.")
        yield _little(case, said, "Log fuel pressure for the whole drive.")
        return
    numbers: Values = {
        "base": gauge(held.base), "spread": fraction(held.spread), "limit": limit.value,
        "wanted": case.terms.limits["fuel_pressure_spread"].value, "over": held.over,
    }  # fmt: skip
    if held.spread > limit.value.value:
        text = ("{base} over {over} in the middle, but it wanders by {spread} at light load: "
                "made to follow demand, or not held. A droop cannot be told.")  # fmt: skip
        advice = "Compare with a gauge, engine idling: the needle should stand still."
        yield _little(case, Said(text, numbers), advice)
        return
    yield _judge(case, held, numbers)


def _calm(case: Case) -> Mask:
    """Running, settled, and not worked."""
    calm = case.settled("start_settle") & ~np.isnan(case.log[CHANNEL])
    return calm if case.worked is None else calm & ~case.worked


def _held(case: Case, calm: Mask) -> Held | None:
    """Against the manifold or the air outside, whichever it is held to more steadily."""
    raw = case.log[CHANNEL]
    if case.log.total(calm) < case.terms["trim_cell_time"]:
        return None
    options = [(raw, "the air outside")]
    if "manifold_pressure" in case.log:
        over = case.log["manifold_pressure"] - case.air.values
        options.append((raw - over, "the manifold"))
    found_ = []
    for values, name in options:
        shown = values[calm & ~np.isnan(values)]
        if len(shown):
            low, base, high = (float(q) for q in np.quantile(sample(shown), (0.05, 0.5, 0.95)))
            if base > 0:
                found_.append(Held(values, base, max(base - low, high - base) / base, name))
    return min(found_, key=lambda h: h.spread) if found_ else None


def _judge(case: Case, held: Held, numbers: Values) -> Finding:
    limit, hold = case.terms.limits["fuel_pressure_droop"], case.terms["supply_time"]
    loaded = case.loaded
    if loaded is None:
        said = Said("{base} over {over}, within {spread}; the log shows no load.", numbers)
        return _little(case, said, "Log manifold pressure too.")
    floor = held.base * (1 - limit.value.value)
    low = case.log.spans(loaded & (held.values < floor), at_least=hold)
    if low:
        return _broken(case, held, low, numbers)
    seen = loaded & ~np.isnan(held.values)
    if case.log.total(seen) < case.terms["load_spell"]:
        said = Said("{base} over {over}, within {spread}. Not read under load.", numbers)
        return _little(case, said, "Log it on pulls under load.")
    least = (held.base - float(np.nanmin(held.values[seen]))) / held.base
    step = every(case, CHANNEL)
    told: Values = {**numbers, "droop": fraction(max(least, 0.0)), "step": seconds(step)}
    text = "{base} over {over}, within {spread}; under load it sank by {droop} at most."
    if step > hold:
        text += " Read every {step}, so that a short dip slips through."
        return _little(case, Said(text, told), "Log fuel pressure twice a second or more.")
    asks = held.spread > case.terms["fuel_pressure_spread"]
    advice = "Look at filter, regulator and wiring: {wanted} either side is usual."
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.KEPT, Said(text, told), limit,
        do_next=Said(advice, numbers) if asks else None,
    )  # fmt: skip


def _broken(case: Case, held: Held, low: list[Span], numbers: Values) -> Finding:
    def droop(span: Span) -> float:
        return 1 - float(np.nanmin(case.log.during(span, held.values))) / held.base

    events = tuple(
        Event(span, Said("sank by {droop}", {"droop": fraction(droop(span))})) for span in low
    )
    told: Values = {
        **numbers, "droop": fraction(max(droop(span) for span in low)),
        "length": seconds(sum(span.length for span in low)),
    }  # fmt: skip
    said = Said("Under load it sank by {droop} from {base} over {over}, {length} under what "
                "{limit} allow.", told)  # fmt: skip
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.BROKEN, said,
        case.terms.limits["fuel_pressure_droop"], events=events,
        do_next=Said("No more load: pump, its wiring, filter and tank pickup first."),
    )  # fmt: skip


def _little(case: Case, said: Said, advice: str) -> Finding:
    limit = case.terms.limits["fuel_pressure_droop"]
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, limit, do_next=Said(advice)
    )
