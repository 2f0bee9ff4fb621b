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
    waits = {span: wait for span in case.starts if (wait := _wait(case, span)) is not None}
    if not waits:
        said = Said("Oil pressure was not read in the first seconds after any start.")
        answer = Answer.TOO_LITTLE if required else Answer.NOT_SHOWN
        yield Finding("oil.start", title, answer, said, required, delay.authority)
        return
    numbers: Values = {
        "longest": seconds(max(waits.values())), "delay": delay.value,
        "floor": case.terms.limits["floor_idle"].value,
    }  # fmt: skip
    events = tuple(
        Event(Span(span.start, span.start + wait), Said("no {floor} after start", numbers))
        for span, wait in waits.items()
        if wait > delay.value.value
    )
    yield Finding(
        "oil.start", title, Answer.BROKEN if events else Answer.KEPT,
        Said("{longest} from start to {floor}; {delay} allowed.", numbers), required,
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
    margin = shortfall[np.isfinite(shortfall)]
    if not case.shows(pressure) or not len(margin):
        shown = fraction(case.share_shown(pressure))
        said = Said("Shown for {share} of the running time only.", {"share": shown})
        yield Finding("oil.floor", title, Answer.TOO_LITTLE, said, required, limit.authority)
        return
    text = "Never nearer than {margin} above the floor." + basis + _brief_dips(case)
    said = Said(text, {**numbers, "margin": _gauge(-float(margin.max()))})
    yield Finding("oil.floor", title, Answer.KEPT, said, required, limit.authority)


def _brief_dips(case: Case) -> str:
    if float(np.median(case.log.held)) > case.terms["log_rate_for_dips"]:
        return " Logged too slowly to show brief dips in corners."
    return ""


def _wait(case: Case, span: Span) -> float | None:
    """Seconds from a start to the idle floor, the whole stretch if it never comes.

    None when the gauge was silent for longer than the delay and then read enough: how soon
    pressure came is not known.
    """
    part = case.log.at(span)
    since, pressure = case.log.time[part] - span.start, case.log[CHANNEL][part]
    there = np.flatnonzero(pressure >= case.terms["floor_idle"])
    wait = float(since[there[0]]) if len(there) else span.length
    silent = bool(np.isnan(pressure[: there[0]] if len(there) else pressure).all())
    return None if silent and wait > case.terms["floor_delay"] else wait


def _event(case: Case, span: Span, floor: Floats, shortfall: Floats) -> Event:
    part = case.log.at(span)
    worst = part.start + int(np.nanargmax(shortfall[part]))
    return Event(span, Said("{shown} at {speed} where the floor is {floor}", {
        "shown": _gauge(float(case.log[CHANNEL][worst])), "floor": _gauge(float(floor[worst])),
        "speed": Quantity(float(case.log["engine_speed"][worst]), Kind.ROTATIONAL_SPEED),
    }))  # fmt: skip


def _gauge(pascal: float) -> Quantity:
    return Quantity(pascal, Kind.PRESSURE)
