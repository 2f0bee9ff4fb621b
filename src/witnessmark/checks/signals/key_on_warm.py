"""Temperatures of an engine at rest: alike when it is cold through, else it was warm."""

from collections.abc import Mapping

from witnessmark.checks.terms import Terms
from witnessmark.model.finding import Answer, Finding
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

_WORDS = {
    "coolant_temperature": "coolant", "oil_temperature": "oil",
    "intake_temperature": "intake air", "ambient_temperature": "outside air",
}  # fmt: skip
_FLUIDS = ("coolant_temperature", "oil_temperature")
CHECK = "key-on.temperatures"


def temperatures(found: Mapping[str, float], terms: Terms, title: str) -> Finding:
    """One line on all temperatures at rest. `found`: channel -> K, at least one."""
    good, flag = terms.limits["key_on_temperature"], terms.limits["key_on_temperature_flag"]
    numbers: dict[str, Quantity | str] = {
        name: Quantity(value, Kind.TEMPERATURE) for name, value in found.items()
    }
    apart = max(found.values()) - min(found.values())
    numbers |= {
        "good": good.value, "flag": flag.value,
        "apart": Quantity(apart, Kind.TEMPERATURE_DIFFERENCE),
    }  # fmt: skip
    text = ", ".join(f"{_WORDS[name]} {{{name}}}" for name in found)
    text = text[0].upper() + text[1:]
    answer, do_next = Answer.KEPT, None
    if len(found) == 1:
        text += ": nothing in this log to hold it against."
        answer = Answer.TOO_LITTLE
    elif apart <= good.value.value:
        text += ": alike within {good}."
    elif apart <= flag.value.value:
        text += ": {apart} apart; {good} is good, over {flag} is not."
    elif _warm(found, flag.value.value):
        text += ": the engine was warm, so its sensors cannot be held against the air."
        answer = Answer.TOO_LITTLE
        do_next = Said("Log a start after eight hours of rest.")
    else:
        text += ": {apart} apart, {flag} at most in a cold engine."
        answer = Answer.TOO_LITTLE
        do_next = Said("If it stood for eight hours out of the sun, one of these is wrong.")
    return Finding(
        CHECK, title, answer, Said(text, numbers), False, good.authority, do_next=do_next
    )


def _warm(found: Mapping[str, float], flag: float) -> bool:
    """Whether coolant and oil are clearly warmer than the air, as after a drive."""
    fluids = [v for n, v in found.items() if n in _FLUIDS]
    air = [v for n, v in found.items() if n not in _FLUIDS]
    return bool(fluids and air) and min(fluids) > min(air) and max(fluids) - min(air) > flag
