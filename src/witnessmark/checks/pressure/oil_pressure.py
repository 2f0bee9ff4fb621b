"""Oil pressure: there at once, never under the floor, never far too high."""

from collections.abc import Iterator

from witnessmark.checks.case import Case
from witnessmark.checks.pressure.oil_band import floor_by_band, top_by_band
from witnessmark.checks.pressure.pressure_wait import wait_for_pressure
from witnessmark.checks.pressure.rule_of_thumb import CHANNEL, FLOOR, by_rule
from witnessmark.checks.terms import seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Span
from witnessmark.model.said import Said, Values


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
    log, terms = case.log, case.terms
    found = {span: wait_for_pressure(log, terms, span) for span in case.starts}
    waits = {span: wait for span, wait in found.items() if wait is not None}
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
    """Oil pressure stays above the floor for the engine's speed and oil temperature.

    The floor is the line 199 of 200 sound builds like this one stay over; the rule of thumb
    stands in only where no band could be worked out.
    """
    if CHANNEL not in case.log:
        yield case.missing(
            "oil.floor", FLOOR, "oil pressure", needs=CHANNEL,
            fit="Fit and log an oil pressure sender, or watch a gauge.",
        )  # fmt: skip
        return
    own = case.own_pressure
    yield by_rule(case) if own is None else floor_by_band(case, own)


def pressure_top(case: Case) -> Iterator[Finding]:
    """Oil pressure stays under the line 199 of 200 sound builds like this one stay under."""
    own = case.own_pressure
    if CHANNEL in case.log and own is not None:  # else the floor says once what is missing
        yield top_by_band(case, own)
