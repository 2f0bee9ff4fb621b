"""Oil pressure: there at once, never under the floor, never far too high."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.terms import fraction, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Span
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity

CHANNEL = "oil_pressure"


def floor_pressure(case: Case) -> Floats:
    """The rule-of-thumb floor for each sample's engine speed, flat at idle and at the top. [Pa]"""
    per_speed = case.terms["floor_per_1000rpm"] / (1000 / 60)
    rising = per_speed * case.log["engine_speed"]
    floor: Floats = np.clip(rising, case.terms["floor_idle"], case.terms["floor_cap"])
    return floor


def pressure_at_start(case: Case) -> Iterator[Finding]:
    """Pressure is on the gauge within seconds of every start the log shows."""
    title = "Oil pressure after start"
    if CHANNEL not in case.log:
        return  # the floor below says once that there is no oil pressure
    delay = case.terms.limits["floor_delay"]
    required = case.terms.needs(CHANNEL)
    if not case.starts:
        said = Said("The log begins with the engine running: no start to judge.")
        answer = Answer.TOO_LITTLE if required else Answer.NOT_SHOWN
        yield Finding("oil.start", title, answer, said, required, delay.authority)
        return
    waits = [_wait(case, span) for span in case.starts]
    late = [(s, w) for s, w in zip(case.starts, waits, strict=True) if w > delay.value.value]
    numbers: Values = {"longest": seconds(max(waits)), "delay": delay.value,
               "floor": case.terms.limits["floor_idle"].value}  # fmt: skip
    text = "{longest} from start to {floor}; {delay} allowed."
    events = tuple(
        Event(Span(s.start, s.start + w), Said("no {floor} after start",
                                                numbers))
        for s, w in late
    )  # fmt: skip
    yield Finding(
        "oil.start", title, Answer.BROKEN if late else Answer.KEPT, Said(text, numbers), required,
        delay.authority, events,
    )  # fmt: skip


def pressure_floor(case: Case) -> Iterator[Finding]:
    """Oil pressure stays above the floor for the engine's speed."""
    title = "Oil pressure floor"
    if CHANNEL not in case.log:
        yield case.missing(
            "oil.floor", title, "oil pressure", needs=CHANNEL,
            fit="Fit and log an oil pressure sender, or watch a gauge.",
        )  # fmt: skip
        return
    log, pressure = case.log, case.log[CHANNEL]
    floor, limit = floor_pressure(case), case.terms.limits["floor_per_1000rpm"]
    shortfall = np.where(case.settled("floor_delay"), floor - pressure, -np.inf)
    spans = log.spans(shortfall > 0, at_least=case.terms["floor_grace"])
    numbers: Values = {"rule": limit.value, "idle": case.terms.limits["floor_idle"].value}
    basis = " Floor {rule} per 1,000 rpm and {idle} at idle: a rule of thumb, not this engine's."
    required = case.terms.needs(CHANNEL)
    if spans:
        worst = max(float(np.nanmax(log.during(s, shortfall))) for s in spans)
        said = Said("{worst} under the floor, {length} in all." + basis, {
            **numbers, "worst": _gauge(worst), "length": seconds(sum(s.length for s in spans)),
        })  # fmt: skip
        events = tuple(_event(case, span, floor, shortfall) for span in spans)
        yield Finding(
            "oil.floor", title, Answer.BROKEN, said, required, limit.authority, events,
            Said("Stop. Prove the pressure with a mechanical gauge before the next start."),
        )  # fmt: skip
        return
    shown = case.share_shown(pressure)
    margin = shortfall[np.isfinite(shortfall)]
    if shown < case.terms["shown_share"] or not len(margin):
        said = Said("Shown for {share} of the running time only.", {"share": fraction(shown)})
        yield Finding("oil.floor", title, Answer.TOO_LITTLE, said, required, limit.authority)
        return
    text = "Never nearer than {margin} above the floor." + basis + _brief_dips(case)
    said = Said(text, {**numbers, "margin": _gauge(-float(margin.max()))})
    yield Finding("oil.floor", title, Answer.KEPT, said, required, limit.authority)


def _brief_dips(case: Case) -> str:
    if float(np.median(case.log.held)) > case.terms["log_rate_for_dips"]:
        return " Logged too slowly to show brief dips in corners."
    return ""


def _wait(case: Case, span: Span) -> float:
    """Seconds from the start of running to the idle floor; the whole stretch if it never comes."""
    part = case.log.at(span)
    there = np.flatnonzero(case.log[CHANNEL][part] >= case.terms["floor_idle"])
    return float(case.log.time[part][there[0]] - span.start) if len(there) else span.length


def _event(case: Case, span: Span, floor: Floats, shortfall: Floats) -> Event:
    part = case.log.at(span)
    worst = part.start + int(np.nanargmax(shortfall[part]))
    return Event(span, Said("{shown} at {speed} where the floor is {floor}", {
        "shown": _gauge(float(case.log[CHANNEL][worst])), "floor": _gauge(float(floor[worst])),
        "speed": Quantity(float(case.log["engine_speed"][worst]), Kind.ROTATIONAL_SPEED),
    }))  # fmt: skip


def _gauge(pascal: float) -> Quantity:
    return Quantity(pascal, Kind.PRESSURE)
