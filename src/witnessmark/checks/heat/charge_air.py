"""Charge temperature: how much warmer than outside, and how hot under load."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import and_after, found, sample
from witnessmark.checks.terms import seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Mask, Span
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity

CHANNEL, OUTSIDE = "intake_temperature", "ambient_temperature"
CHECK, TITLE = "heat.charge", "Charge temperature"


def charge_temperature(case: Case) -> Iterator[Finding]:
    """On the move the charge stays near the air outside, and cool under load.

    Heat soaked up while standing is no fault: it is left out until it has blown away.
    """
    if CHANNEL not in case.log:
        fit = "Log intake air temperature after any charge cooler."
        yield case.missing(CHECK, TITLE, "charge temperature", needs=CHANNEL, fit=fit)
        return
    rise, most = case.terms.limits["charge_rise"], case.terms.limits["charge_most"]
    charge, log, hold = case.log[CHANNEL], case.log, case.terms["charge_time"]
    moving = _long_on_the_move(case) & ~np.isnan(charge)
    if not moving.any():
        said = Said("Never on the move for {time} without standing.",
                    {"time": case.terms.limits["charge_settle"].value})  # fmt: skip
        yield found(
            case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, rise,
            do_next=Said("Log a longer drive."),
        )  # fmt: skip
        return
    events = []
    text, numbers = "", dict[str, Quantity | str]()
    over = charge - log[OUTSIDE] if OUTSIDE in log else None
    if over is not None and not np.isnan(over[moving]).all():
        warm = log.spans(moving & (over > rise.value.value), at_least=hold)
        middle = float(np.nanmedian(sample(over[moving])))
        numbers |= {"middle": _kelvin(middle), "rise": rise.value, "warm": _total(warm)}
        text = "On the move {middle} over the air outside, {rise} is usual at most. "
        if warm:
            text = "On the move {middle} over the air outside; over {rise} for {warm}. "
            events += [_event(case, span, "{hot} on the move") for span in warm]
    else:
        text = "The log does not show the air outside. "
    hot_spans: list[Span] = []
    if case.loaded is not None:
        worked = moving & case.loaded
        if worked.any():
            numbers["hot"] = Quantity(float(np.nanmax(charge[worked])), Kind.TEMPERATURE)
            text += "Hottest under load {hot}."
        hot_spans = log.spans(worked & (charge > most.value.value), case.terms["load_spell"])
        if hot_spans:
            numbers |= {"most": most.value, "length": _total(hot_spans)}
            text += " Over {most} for {length}: knock is nearer there."
            events += [_event(case, span, "{hot} under load") for span in hot_spans]
    advice = _advice(bool(hot_spans), bool(events))
    answer = Answer.KEPT
    if over is None and case.loaded is None:
        answer, advice = Answer.TOO_LITTLE, Said("Log outside temperature and load.")
    yield found(
        case, CHECK, TITLE, (CHANNEL,), answer, Said(text.strip(), numbers), rise,
        do_next=advice, events=tuple(events),
    )  # fmt: skip


def _advice(hot: bool, any_: bool) -> Said | None:
    if hot:
        return Said("Ask the tuner. Let it cool before the next pull; look at cooler, ducts "
                    "and heat shields.")  # fmt: skip
    if any_:
        return Said("Look where it draws its air: cooler blocked, duct off, hot bay.")
    return None


def _long_on_the_move(case: Case) -> Mask:
    """Where the car has not stood for as long as heat takes to blow away."""
    time, settle = case.log.time, case.terms["charge_settle"]
    long = ~and_after(case.log, ~case.moving, settle)
    long[: int(np.searchsorted(time, time[0] + settle, side="right"))] = False
    return long


def _event(case: Case, span: Span, text: str) -> Event:
    hot = float(np.nanmax(case.log.during(span, case.log[CHANNEL])))
    numbers: Values = {"hot": Quantity(hot, Kind.TEMPERATURE)}
    return Event(span, Said(text, numbers))


def _total(spans: list[Span]) -> Quantity:
    return seconds(sum(span.length for span in spans))


def _kelvin(value: float) -> Quantity:
    return Quantity(value, Kind.TEMPERATURE_DIFFERENCE)
