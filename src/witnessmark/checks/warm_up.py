"""No load before the engine is warm."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.terms import seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Mask
from witnessmark.model.plan import Doing, Limit
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity

STANDING = "in the bay"  # the place of a phase in which nothing loads the engine


def coolant_warm_before_load(case: Case) -> Iterator[Finding]:
    """The engine is neither loaded nor revved until its coolant is warm."""
    yield _warm(case, "coolant_temperature", "warm_coolant", "coolant")


def oil_warm_before_load(case: Case) -> Iterator[Finding]:
    """The engine is neither loaded nor revved until its oil is warm."""
    yield _warm(case, "oil_temperature", "warm_oil", "oil")


def _warm(case: Case, channel: str, limit_name: str, fluid: str) -> Finding:
    check, title = f"warm-up.{fluid}", f"Warm before load ({fluid})"
    if channel not in case.log:
        return case.missing(
            check, title, f"{fluid} temperature", needs=channel,
            fit=f"Log {fluid} temperature from the cold start on.",
        )  # fmt: skip
    limit = case.terms.limits[limit_name]
    temperature = case.log[channel]
    by = "engine speed alone" if case.load is None else f"engine speed and {case.load.title}"
    numbers: Values = {"warm": limit.value, "by": by, "fluid": fluid}
    worked = case.log["engine_speed"] > _too_fast(case)
    if case.loaded is not None:
        # Until the manifold has been drawn down after a start, its pressure is no load.
        worked = worked | (case.loaded & case.settled("start_settle"))
    answer, said, events = _judge(case, temperature, worked, limit, numbers)
    required = case.terms.needs(channel)
    do_next = None
    if answer is not Answer.KEPT:
        do_next = Said("Drive gently until the {fluid} is at {warm}; log that part too.", numbers)
    return Finding(check, title, answer, said, required, limit.authority, events, do_next)


def _too_fast(case: Case) -> float:
    """Speed over which a cold engine is worked, rev/s: more than its own plan asks of it."""
    asked = [
        step.numbers[name].value.value + case.terms["hold_band"]
        for step in case.terms.phase.steps
        if step.doing in (Doing.HOLD, Doing.SWEEP)
        for name in ("speed", "to")
        if name in step.numbers
    ]
    return max([case.terms["load_speed"], *asked])


def _judge(
    case: Case, temperature: Floats, worked: Mask, limit: Limit, numbers: Values
) -> tuple[Answer, Said, tuple[Event, ...]]:  # fmt: skip
    log, warm = case.log, limit.value.value
    spans = log.spans(worked & (temperature < warm), at_least=case.terms["load_spell"])
    if spans:
        coldest = [float(np.nanmin(log.during(span, temperature))) for span in spans]
        events = tuple(
            Event(span, Said("{fluid} at {cold} under load", {**numbers, "cold": _degrees(cold)}))
            for span, cold in zip(spans, coldest, strict=True)
        )
        said = Said(
            "Worked with the {fluid} at {cold}; {warm} was wanted first. {length} in all, by {by}.",
            {**numbers, "cold": _degrees(min(coldest)),
             "length": seconds(sum(span.length for span in spans))},
        )  # fmt: skip
        return Answer.BROKEN, said, events
    if case.load is None and case.terms.phase.place == STANDING and case.shows(temperature):
        text = "Never revved further than the plan asks; it stood in the bay, with no load on it."
        return Answer.KEPT, Said(text, numbers), ()
    if case.load is None:
        text = "Never revved cold, but the log shows no load, so only engine speed was judged."
        return Answer.TOO_LITTLE, Said(text, numbers), ()
    if not case.shows(temperature, case.load.values):
        return Answer.TOO_LITTLE, Said("The {fluid} temperature or the load has gaps.", numbers), ()
    first = np.flatnonzero(worked & ~np.isnan(temperature))
    if not len(first):
        return Answer.TOO_LITTLE, Said("The engine was never worked in this log.", numbers), ()
    at = _degrees(float(temperature[first[0]]))
    text = "First worked at {at}; {warm} was wanted. By {by}."
    if at.value < warm:
        text = "Worked at {at} only for a moment, too brief to count; {warm} was wanted. By {by}."
    return Answer.KEPT, Said(text, {**numbers, "at": at}), ()


def _degrees(kelvin: float) -> Quantity:
    return Quantity(kelvin, Kind.TEMPERATURE)
