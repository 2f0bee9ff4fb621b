"""The old rule of thumb for oil pressure: it decides only where no band can be worked out."""

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.terms import Terms, fraction, gauge, revolutions, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Span
from witnessmark.model.said import Said, Values

CHANNEL = "oil_pressure"
FLOOR = "Oil pressure floor"
STOP = Said("Stop. Prove the pressure with a mechanical gauge before the next start.")


def floor_pressure(case: Case) -> Floats:
    """The rule-of-thumb floor for each sample's engine speed, flat at idle and at the top. [Pa]"""
    return rule_at(case.terms, case.log["engine_speed"])


def rule_at(terms: Terms, speed: float | Floats) -> Floats:
    """The rule-of-thumb floor at engine speeds. [Pa]"""
    rising = terms["floor_per_1000rpm"] / (1000 / 60) * speed
    floor: Floats = np.clip(rising, terms["floor_idle"], terms["floor_cap"])
    return floor


def by_rule(case: Case) -> Finding:
    """The floor by the rule of thumb, named as such."""
    log, pressure = case.log, case.log[CHANNEL]
    floor, limit = floor_pressure(case), case.terms.limits["floor_per_1000rpm"]
    shortfall = np.where(case.settled("floor_delay"), floor - pressure, -np.inf)
    spans = log.spans(shortfall > 0, at_least=case.terms["floor_grace"])
    numbers: Values = {
        "rule": limit.value, "idle": case.terms.limits["floor_idle"].value,
        "why": case.terms.no_band,
    }  # fmt: skip
    basis = " Floor {rule} per 1,000 rpm and {idle} at idle: a rule of thumb, not this engine's."
    if case.terms.no_band:
        basis += " No pressure could be foretold for this build: {why}"
    required = case.terms.needs(CHANNEL)
    if spans:
        worst = max(float(np.nanmax(log.during(s, shortfall))) for s in spans)
        said = Said("{worst} under the floor, {length} in all." + basis, {
            **numbers, "worst": gauge(worst), "length": seconds(sum(s.length for s in spans)),
        })  # fmt: skip
        events = tuple(_event(case, span, floor, shortfall) for span in spans)
        return Finding(
            "oil.floor", FLOOR, Answer.BROKEN, said, required, limit.authority, events, STOP
        )
    margin = shortfall[np.isfinite(shortfall)]
    if not case.shows(pressure) or not len(margin):
        shown = fraction(case.share_shown(pressure))
        said = Said("Shown for {share} of the running time only." + basis, {
            **numbers, "share": shown
        })  # fmt: skip
        return Finding("oil.floor", FLOOR, Answer.TOO_LITTLE, said, required, limit.authority)
    text = "Never nearer than {margin} above the floor." + basis + brief_dips(case)
    said = Said(text, {**numbers, "margin": gauge(-float(margin.max()))})
    return Finding("oil.floor", FLOOR, Answer.KEPT, said, required, limit.authority)


def brief_dips(case: Case) -> str:
    """What a log too slow for brief dips has to say so."""
    signal = case.truth.get(CHANNEL)
    if signal is not None and signal.interval > case.terms["log_rate_for_dips"] * (1 + 1e-6):
        return " Logged too slowly to show brief dips in corners."
    return ""


def _event(case: Case, span: Span, floor: Floats, shortfall: Floats) -> Event:
    part = case.log.at(span)
    worst = part.start + int(np.nanargmax(shortfall[part]))
    return Event(span, Said("{shown} at {speed} where the floor is {floor}", {
        "shown": gauge(float(case.log[CHANNEL][worst])), "floor": gauge(float(floor[worst])),
        "speed": revolutions(float(case.log["engine_speed"][worst])),
    }))  # fmt: skip
