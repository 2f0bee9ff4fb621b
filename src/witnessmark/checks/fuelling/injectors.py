"""Injector duty: how much of its fuel supply the engine used."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import found, is_stuck
from witnessmark.checks.terms import fraction, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.said import Said, Values

CHANNEL = "injector_duty"
CHECK, TITLE = "fuelling.duty", "Injector duty"


def injector_duty(case: Case) -> Iterator[Finding]:
    """Injectors keep time to shut; a run-in needs less than half of them."""
    if CHANNEL not in case.log:
        yield case.missing(CHECK, TITLE, "injector duty", needs=CHANNEL, fit="Log injector duty.")
        return
    duty, log = case.log[CHANNEL], case.log
    ask, stop = case.terms.limits["duty_ask"], case.terms.limits["duty_stop"]
    hold = case.terms["supply_time"]
    shown = duty[case.running & ~np.isnan(duty)]
    if not len(shown) or is_stuck(duty, case.running):
        said = Said("Never read while the engine ran." if not len(shown) else
                    "It stands at one value all through: the channel is stuck.")  # fmt: skip
        advice = Said("Log injector duty on the drive.")
        yield found(case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, stop, do_next=advice)
        return
    over = log.spans(case.running & (duty > stop.value.value), at_least=hold)
    high = log.spans(case.running & (duty > ask.value.value), at_least=hold)
    numbers: Values = {
        "most": fraction(float(shown.max())), "ask": ask.value, "stop": stop.value,
        "length": seconds(sum(s.length for s in (over or high))),
    }  # fmt: skip
    if over:
        events = tuple(
            Event(s, Said("{most}", {"most": fraction(float(np.nanmax(log.during(s, duty))))}))
            for s in over
        )
        said = Said("Most {most}; over {stop} for {length}: they hardly shut.", numbers)
        advice = Said("Stop there: less load, and larger injectors or more fuel pressure.")
        yield found(
            case, CHECK, TITLE, (CHANNEL,), Answer.BROKEN, said, stop, do_next=advice,
            events=events,
        )  # fmt: skip
        return
    if not case.shows(duty):
        said = Said("Most seen {most}, but the channel has gaps.", numbers)
        yield found(
            case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, stop,
            do_next=Said("Log it all the time."),
        )  # fmt: skip
        return
    text = "Most {most}, {stop} is the end." + (" Over {ask} for {length}." if high else "")
    smaller = Said("A run-in asks for less: ask the tuner whether it was loaded too hard, or the "
                   "injectors are small.")  # fmt: skip
    yield found(
        case, CHECK, TITLE, (CHANNEL,), Answer.KEPT, Said(text, numbers), stop,
        do_next=smaller if high else None,
    )  # fmt: skip
