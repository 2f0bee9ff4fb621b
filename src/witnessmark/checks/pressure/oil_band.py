"""Oil pressure against this engine's own band: over its floor, under its top line."""

from dataclasses import dataclass, replace

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.pressure.own_pressure import OwnPressure
from witnessmark.checks.pressure.rule_of_thumb import CHANNEL, FLOOR, STOP, brief_dips, rule_at
from witnessmark.checks.terms import fraction, gauge, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Span
from witnessmark.model.said import Said

LOOK = Said(
    "Look at oil level, grade and fuel in the oil, and read it on a second gauge. Calibrate the "
    "engine on logs it is known to be sound in."
)


def floor_by_band(case: Case, own: OwnPressure) -> Finding:
    """Over the line 199 of 200 sound builds stay over; the rule of thumb is told beside it."""
    pressure, floor = case.log[CHANNEL], own.floor
    side = _Side("oil.floor", FLOOR, "floor", floor, floor - pressure, "under", STOP)
    found = _against(case, own, side)
    rule = _rule_beside(case, side)
    said = Said(found.said.text + rule.text, {**found.said.values, **rule.values})
    low = _low(case, own) if found.answer is Answer.KEPT else None
    if low is None:
        return replace(found, said=said)
    said = Said(said.text + low.text, {**said.values, **low.values})
    return replace(found, said=said, do_next=LOOK)


def top_by_band(case: Case, own: OwnPressure) -> Finding:
    """Under the line 199 of 200 sound builds stay under."""
    top = own.top
    side = _Side(
        "oil.top", "Oil pressure top line", "top", top, case.log[CHANNEL] - top, "over",
        Said("Prove it with a mechanical gauge, then look at relief valve, oil grade and filter."),
    )  # fmt: skip
    return _against(case, own, side)


@dataclass(frozen=True)
class _Side:
    """One side of the band: its line and how far pressure lies beyond it. [Pa] (n,)"""

    check: str
    title: str
    name: str  # "floor"
    line: Floats
    beyond: Floats
    way: str  # "under"
    advice: Said


def _against(case: Case, own: OwnPressure, side: _Side) -> Finding:
    """Broken with its moments, kept, or seen too little."""
    required, who = case.terms.needs(CHANNEL), own.band.authority
    beyond = _settled(case, side.beyond)
    spans = case.log.spans(beyond > 0, at_least=case.terms["floor_grace"])
    numbers = own.numbers()
    tail = own.basis() + (brief_dips(case) if side.way == "under" else "")
    if spans:
        worst = max(float(case.log.during(s, beyond).max()) for s in spans)
        numbers |= {
            "among": own.band.among,
            "worst": gauge(worst),
            "length": seconds(sum(s.length for s in spans)),
        }
        text = f"{{worst}} {side.way} the {side.name}, {{length}} in all: about 1 in 200 {{among}}."
        events = tuple(_own_event(case, own, side, span) for span in spans)
        return Finding(
            side.check, side.title, Answer.BROKEN, Said(text + tail, numbers), required, who,
            events, side.advice,
        )  # fmt: skip
    if not case.shows(case.log[CHANNEL], side.line) or not np.isfinite(beyond).any():
        numbers["share"] = fraction(case.share_shown(case.log[CHANNEL], side.line))
        said = Said("Judged for {share} of the running time only." + tail, numbers)
        return Finding(side.check, side.title, Answer.TOO_LITTLE, said, required, who)
    nearest = int(np.argmax(beyond))
    where, values = own.state(nearest)
    numbers |= {
        **values, "margin": gauge(-beyond[nearest]), "line": gauge(side.line[nearest]),
        "shown": gauge(case.log[CHANNEL][nearest]),
        "grace": case.terms.limits["floor_grace"].value,
    }  # fmt: skip
    text = (
        f"Never nearer than {{margin}} to the {side.name}: {{shown}} {where}, {side.name} {{line}}."
    )
    if beyond[nearest] > 0:
        way = side.way.capitalize()
        text = f"{way} the {side.name} for less than {{grace}} only, too brief to count."
    return Finding(side.check, side.title, Answer.KEPT, Said(text + tail, numbers), required, who)


def _settled(case: Case, beyond: Floats) -> Floats:
    """The same, and far inside the band where it is not judged."""
    judged = case.settled("floor_delay") & ~np.isnan(beyond)
    return np.where(judged, beyond, -np.inf)


def _own_event(case: Case, own: OwnPressure, side: _Side, span: Span) -> Event:
    part = case.log.at(span)
    worst = part.start + int(np.nanargmax(side.beyond[part]))
    where, values = own.state(worst)
    return Event(span, Said(f"{{shown}} {where} where the {side.name} is {{line}}", {
        **values, "shown": gauge(case.log[CHANNEL][worst]), "line": gauge(side.line[worst]),
    }))  # fmt: skip


def _rule_beside(case: Case, side: _Side) -> Said:
    """What the rule of thumb would ask where the engine came nearest to its floor."""
    beyond = _settled(case, side.beyond)
    if not np.isfinite(beyond).any():
        return Said("")
    nearest = int(np.argmax(beyond))
    return Said(
        " The rule of thumb of {rule} per 1,000 rpm would ask {asks} there, for comparison only.",
        {"rule": case.terms.limits["floor_per_1000rpm"].value,
         "asks": gauge(float(rule_at(case.terms, case.log["engine_speed"][nearest])))},
    )  # fmt: skip


def _low(case: Case, own: OwnPressure) -> Said | None:
    """A remark where pressure stays long under what 95 of 100 such builds show."""
    beyond = _settled(case, own.low - case.log[CHANNEL])
    spans = case.log.spans(beyond > 0, at_least=case.terms["floor_grace"])
    whole = sum(span.length for span in spans)
    if whole < case.terms["low_pressure_time"]:
        return None
    return Said(
        " Low for {low} in all: 95 of 100 {among} show more. Look at it.",
        {"low": seconds(whole), "among": own.band.among},
    )
