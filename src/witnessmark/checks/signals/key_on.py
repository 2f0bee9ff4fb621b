"""The sensors with the engine standing, key on: what each must read is known beforehand."""

from collections.abc import Callable, Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.signals.key_on_stand import standing
from witnessmark.checks.signals.key_on_warm import temperatures
from witnessmark.checks.terms import fraction, gauge
from witnessmark.model.finding import Answer, Finding
from witnessmark.model.log import Span
from witnessmark.model.plan import Limit
from witnessmark.model.said import Said, Values
from witnessmark.physics.atmosphere import standard_pressure
from witnessmark.units import Kind, Quantity

TITLE = "Sensors with the engine standing"
_24_VOLTS = 2.0  # two batteries in a row


def at_key_on(case: Case) -> Iterator[Finding]:
    """Before the first start every sensor reads what an engine at rest must show."""
    span = standing(case)
    if span is None:
        yield Finding(
            "key-on.start", TITLE, Answer.NOT_SHOWN,
            Said("The log does not show the engine at rest before a start."), required=False,
            do_next=Said("Start the logger with the key on, ten seconds before cranking, cold."),
        )  # fmt: skip
        return
    for judge in _JUDGES:
        yield from judge(case, span)


def rest(case: Case, span: Span, channel: str) -> float | None:
    """What a channel reads in the later half of the stretch, sensors having woken. [SI]"""
    if channel not in case.log:
        return None
    late = Span(span.start + 0.5 * span.length, span.end)
    shown = case.log.during(late, case.log[channel])
    shown = shown[~np.isnan(shown)]
    return float(np.median(shown)) if len(shown) else None


def _manifold(case: Case, span: Span) -> Iterator[Finding]:
    """Manifold pressure is the air outside."""
    found = rest(case, span, "manifold_pressure")
    if found is None:
        return
    low, high = (case.terms.limits[n] for n in ("manifold_rest_low", "manifold_rest_high"))
    numbers: dict[str, Quantity | str] = {
        "found": Quantity(found, Kind.ABSOLUTE_PRESSURE), "low": low.value, "high": high.value,
    }  # fmt: skip
    title = f"{TITLE}: manifold"
    if not low.value.value <= found <= high.value.value:
        said = Said("{found} with the engine standing; air is {low} to {high}.", numbers)
        yield Finding(
            "key-on.manifold", title, Answer.BROKEN, said, False, low.authority,
            do_next=Said("Sensor, its supply or its scaling: put it right before the next start."),
        )  # fmt: skip
        return
    outside, why, limit = _outside(case, span)
    if outside is None:
        said = Said("{found}, as air can be. No barometer to hold it against.", numbers)
        yield Finding("key-on.manifold", title, Answer.KEPT, said, False, low.authority)
        return
    numbers |= {
        "outside": Quantity(outside, Kind.ABSOLUTE_PRESSURE), "limit": limit.value,
        "apart": gauge(abs(found - outside)),
    }  # fmt: skip
    close = abs(found - outside) <= limit.value.value
    text = f"{{found}} against {{outside}} {why}: {{apart}} apart, {{limit}} allowed."
    do_next = None if close else Said("One of the two is wrong. Ask the weather station which.")
    yield _line("key-on.manifold", title, close, Said(text, numbers), limit, do_next)


def _outside(case: Case, span: Span) -> tuple[float | None, str, Limit]:
    """The pressure outside, where from, and how near the manifold must be to it."""
    near, weather = (case.terms.limits[n] for n in ("key_on_pressure", "key_on_weather"))
    measured = rest(case, span, "barometric_pressure")
    if measured is not None:
        return measured, "of the barometer", near
    height = rest(case, span, "altitude")
    if height is not None:
        return standard_pressure(height), "of a standard day at its altitude", weather
    return None, "", near


def _oil_pressure(case: Case, span: Span) -> Iterator[Finding]:
    """Oil pressure is nothing."""
    found, limit = rest(case, span, "oil_pressure"), case.terms.limits["key_on_oil_pressure"]
    if found is not None:
        said = Said("{found} at rest; 0 ± {limit} is sound.", _numbers(gauge(found), limit))
        yield _line(
            "key-on.oil-pressure", f"{TITLE}: oil pressure", abs(found) <= limit.value.value, said,
            limit,
            Said("Unless somebody was priming, the sender's zero is off, and so is all it says."),
        )  # fmt: skip


def _crankcase(case: Case, span: Span) -> Iterator[Finding]:
    """Crankcase pressure is nothing."""
    found, limit = rest(case, span, "crankcase_pressure"), case.terms.limits["key_on_crankcase"]
    if found is not None:
        said = Said("{found} at rest; 0 ± {limit} is sound.", _numbers(gauge(found), limit))
        yield _line(
            "key-on.crankcase", f"{TITLE}: crankcase", abs(found) <= limit.value.value, said, limit,
            Said("Its zero is off: take that much from every reading, or mend it."),
        )  # fmt: skip


def _battery(case: Case, span: Span) -> Iterator[Finding]:
    """A rested battery, and enough of it while cranking."""
    found = rest(case, span, "battery_voltage")
    if found is None:
        return
    low, high, least = (
        case.terms.limits[n] for n in ("rest_voltage_low", "rest_voltage_high", "cranking_voltage")
    )
    times = _24_VOLTS if found > case.terms["voltage_of_24"] else 1.0
    fired = case.log.at(case.starts[0]).start
    cranking = case.log["battery_voltage"][case.log.at(span).start : fired]
    lowest = float(np.nanmin(cranking))
    numbers: Values = {
        name: Quantity(value, Kind.VOLTAGE)
        for name, value in (
            ("found", found), ("low", times * low.value.value), ("high", times * high.value.value),
            ("lowest", lowest), ("least", times * least.value.value),
        )
    }  # fmt: skip
    rested = times * low.value.value <= found <= times * high.value.value
    strong = lowest >= times * least.value.value
    said = Said(
        "{found} at rest, {low} to {high} is sound; lowest up to the start {lowest}, {least} at "
        "least wanted.", numbers,
    )  # fmt: skip
    over = Said("Over that a charger or another engine feeds it; under it, charge it.")
    do_next = over if strong else Said("Charge or change the battery, and look at its cables.")
    yield _line("key-on.battery", f"{TITLE}: battery", rested and strong, said, low, do_next)


def _pedal(case: Case, span: Span) -> Iterator[Finding]:
    """The pedal (or a cable throttle) rests where it rests in the drive."""
    channel = case.log.first_of("pedal_position", "throttle_position")
    found = None if channel is None else rest(case, span, channel)
    if channel is None or found is None:
        return
    shown = case.log[channel][case.running & ~np.isnan(case.log[channel])]
    if channel == "throttle_position" or not len(shown):
        return  # a motor holds an electric throttle open at rest: its place proves nothing
    limit = case.terms.limits["key_on_pedal"]
    lowest = float(np.quantile(shown, 0.01))
    numbers: Values = {
        "found": fraction(found), "lowest": fraction(lowest), "limit": limit.value,
    }  # fmt: skip
    said = Said("{found} at rest, {lowest} shut in the drive; within {limit} is sound.", numbers)
    yield _line(
        "key-on.pedal", f"{TITLE}: pedal", abs(found - lowest) <= limit.value.value, said, limit,
        Said("Foot on it, or it sticks: look before the next start."),
    )  # fmt: skip


def _lambda(case: Case, span: Span) -> Iterator[Finding]:
    """The lambda probe reads free air."""
    found, limit = rest(case, span, "lambda"), case.terms.limits["free_air"]
    if found is not None:
        numbers = _numbers(Quantity(found, Kind.MIXTURE), limit)
        said = Said("{found} with the engine standing; free air reads {limit} or more.", numbers)
        yield _line(
            "key-on.lambda", f"{TITLE}: lambda", found >= limit.value.value, said, limit,
            Said("Not hot yet, or fuel vapour in the pipe: wait half a minute. Else it is stuck."),
        )  # fmt: skip


def _numbers(found: Quantity, limit: Limit) -> Values:
    return {"found": found, "limit": limit.value}


def _line(
    check: str, title: str, sound: bool, said: Said, limit: Limit, do_next: Said | None
) -> Finding:
    """Kept, or not shown to be sound: what one odd reading means is for a person to find out."""
    answer = Answer.KEPT if sound else Answer.TOO_LITTLE
    return Finding(
        check, title, answer, said, False, limit.authority, do_next=None if sound else do_next
    )


def _temperatures(case: Case, span: Span) -> Iterator[Finding]:
    """Coolant, oil and air are one temperature, if the engine is cold through."""
    names = ("coolant_temperature", "oil_temperature", "intake_temperature", "ambient_temperature")
    found = {n: value for n in names if (value := rest(case, span, n)) is not None}
    if found:
        yield temperatures(found, case.terms, f"{TITLE}: temperatures")


_JUDGES: tuple[Callable[[Case, Span], Iterator[Finding]], ...] = (
    _manifold, _temperatures, _oil_pressure, _battery, _pedal, _lambda, _crankcase,
)  # fmt: skip
