"""The cooling fan: when it comes on and goes off, how much it works, and whether at all."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import found, steps
from witnessmark.checks.terms import count, fraction, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Mask, Span
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity

CHANNEL, COOLANT = "fan", "coolant_temperature"
CHECK, TITLE = "heat.fan", "Cooling fan"
_SAW_TOOTH = 2  # teeth: one rise and fall may be the thermostat


def cooling_fan(case: Case) -> Iterator[Finding]:
    """The fan comes on before it is too hot, goes off well below, and rests on the move."""
    if CHANNEL in case.log and COOLANT in case.log:
        yield _by_channel(case)
        return
    inferred = _inferred(case) if COOLANT in case.log and CHANNEL not in case.log else None
    if inferred is not None:
        yield inferred
        return
    what = "the cooling fan" if CHANNEL not in case.log else "coolant beside the fan"
    needs = CHANNEL if CHANNEL not in case.log else COOLANT
    yield case.missing(
        CHECK,
        TITLE,
        what,
        needs=needs,
        fit="Log the fan's relay, or watch it come on at standstill.",
    )


def _by_channel(case: Case) -> Finding:
    log, fan, coolant = case.log, case.log[CHANNEL], case.log[COOLANT]
    top, drop = case.terms.limits["coolant_window_top"], case.terms.limits["fan_drop"]
    on = case.running & _is_on(fan)
    hot = log.spans(case.running & (coolant > top.value.value), case.terms["fan_wait"])
    numbers: dict[str, Quantity | str] = {
        "top": top.value, "drop": drop.value, "share_limit": case.terms.limits["fan_share"].value,
    }  # fmt: skip
    if not on.any():
        numbers["hottest"] = _degrees(float(np.nanmax(coolant[case.running])))
        if not hot:
            said = Said("It never had to come on: hottest coolant {hottest}.", numbers)
            return _little(case, said)
        numbers["length"] = seconds(sum(span.length for span in hot))
        said = Said("It never came on, with coolant over {top} for {length}.", numbers)
        events = tuple(Event(s, Said("{hot}", {"hot": _most(case, coolant, s)})) for s in hot)
        return found(
            case, CHECK, TITLE, (CHANNEL,), Answer.BROKEN, said, top, events=events,
            do_next=Said("Stop. Relay, fuse, fan and its switch before the next drive."),
        )  # fmt: skip
    switched = _switched(case, on, coolant)
    moving = log.total(case.moving)
    share = log.total(on & case.moving) / moving if moving else 0.0
    numbers |= {"share": fraction(share), "times": count(len(switched[0]))}
    if not switched[0]:
        said = Said(
            "On whenever the log shows it; on for {share} of the time on the move.", numbers
        )
        return _little(case, said)
    start = float(np.median(switched[0]))
    numbers["on"] = _degrees(start)
    text, advice = "Came on {times} times, in the middle at {on}", []
    if switched[1]:
        stop = float(np.median(switched[1]))
        numbers["off"] = _degrees(stop)
        text += ", off at {off}"
        if start - stop < drop.value.value and len(switched[0]) > 1:
            advice.append("It chatters: set it to go off {drop} or more below where it comes on.")
    if share > case.terms["fan_share"]:
        advice.append("On the move it should rest: look at thermostat, radiator and belt.")
    said = Said(f"{text}. On for {{share}} of the time on the move.", numbers)
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.KEPT, said, drop,
        do_next=Said(" ".join(advice), numbers) if advice else None,
    )  # fmt: skip


def _is_on(fan: Floats) -> Mask:
    """On or off; a fan driven by duty is on above the middle of its range."""
    shown = fan[~np.isnan(fan)]
    low, high = (float(shown.min()), float(shown.max())) if len(shown) else (0.0, 0.0)
    on: Mask = fan > (low + high) / 2 if high > low else fan > 0
    return on


def _switched(case: Case, on: Mask, coolant: Floats) -> tuple[list[float], list[float]]:
    """Coolant where the fan came on and where it went off, while the engine ran. [K]"""
    turns = np.diff(on.astype(np.int8))
    steady = case.running[1:] & case.running[:-1]
    starts, stops = (np.flatnonzero((turns == way) & steady) + 1 for way in (1, -1))
    first, last = coolant[starts], coolant[stops]
    return first[~np.isnan(first)].tolist(), last[~np.isnan(last)].tolist()


def _inferred(case: Case) -> Finding | None:
    """Without a fan in the log: coolant that rises and falls again and again, car standing."""
    saw, step = case.terms["fan_saw"], case.terms["steady_window"]
    standing = case.running & ~case.moving & (case.log[COOLANT] >= case.terms["warm_coolant"])
    coolant = steps(case, standing, step).means(case.log[COOLANT])
    peaks: list[float] = []
    lows: list[float] = []
    for part in np.split(coolant, np.flatnonzero(np.isnan(coolant))):
        high, low = _teeth(part[~np.isnan(part)].tolist(), saw)
        peaks, lows = peaks + high, lows + low
    if len(peaks) < _SAW_TOOTH:
        return None
    numbers: Values = {
        "times": count(len(peaks)), "on": _degrees(float(np.median(peaks))),
        "off": _degrees(float(np.median(lows))),
    }  # fmt: skip
    said = Said(
        "Inferred, not logged: standing, coolant rose to {on} and fell to {off}, {times} times.",
        numbers,
    )
    drop = case.terms.limits["fan_drop"]
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, drop,
        do_next=Said("Log the fan's relay to have it judged."),
    )  # fmt: skip


def _teeth(values: list[float], saw: float) -> tuple[list[float], list[float]]:
    """Peaks that a curve rose to by so much and fell from by so much, and the low after each."""
    turns: list[tuple[float, int]] = []  # turning points: value, +1 for a peak
    way, low, high = 0, np.inf, -np.inf
    for value in values:
        low, high = min(low, value), max(high, value)
        if way <= 0 and value - low >= saw:
            turns.append((low, -1))
            way, high = 1, value
        elif way >= 0 and high - value >= saw:
            turns.append((high, 1))
            way, low = -1, value
    turns.append((low, -1))
    # A curve that only falls from where it began shows no peak: it cools down.
    at = [i for i in range(1, len(turns) - 1) if turns[i][1] > 0]
    return [turns[i][0] for i in at], [turns[i + 1][0] for i in at]


def _most(case: Case, values: Floats, span: Span) -> Quantity:
    return _degrees(float(np.nanmax(case.log.during(span, values))))


def _little(case: Case, said: Said) -> Finding:
    drop = case.terms.limits["fan_drop"]
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, drop,
        do_next=Said("Let it stand warm until the fan has come on and gone off once."),
    )  # fmt: skip


def _degrees(value: float) -> Quantity:
    return Quantity(value, Kind.TEMPERATURE)
