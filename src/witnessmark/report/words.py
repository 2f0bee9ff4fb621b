"""Words every report shares: answers, names of quantities, short hashes, lists in a sentence."""

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from witnessmark.model.finding import Answer

View = TypeVar("View")

# In this order a reader needs them: what went wrong, what to drive, what to fit, what held.
ORDER = (Answer.BROKEN, Answer.TOO_LITTLE, Answer.NOT_SHOWN, Answer.KEPT)

# Names that read badly when their underscores become spaces.
_NAMES = {
    "hold_time": "time at a held speed",
    "idle_spell": "one spell of idling",
    "load_cells": "speed and load cells",
    "loaded_share": "share under load",
    "lugging": "one spell of lugging",
    "moving_time": "time on the move",
    "overrun_pulls": "engine-braking pulls",
    "pulls": "pulls under load",
    "steady_cruise": "one steady cruise",
}

_HASH_SHOWN = 12  # hex digits: 48 bits tell any two files of a shop apart, and can be read out

# Marks that turn the reading direction: a file name with one can pose as another.
_TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_UNPRINTED = ("Cc", "Cs", "Cn")  # control, half a letter, no letter (Unicode general category)


_BEFORE_UNIT = re.compile(
    r"(?<=\d) (?=(?:rpm|s|min|h|days|psi|kPa|bar|mi|km|km/h|mph|mm|cm³|µm|in|λ|V|L)\b|[°%])"
)


def printable(view: View) -> View:
    """A view whose every text is safe to print: no escape codes, no turned reading direction.

    What cannot be printed shows as "\ufffd"; a tab or a line break as a space.
    """
    clean: View = _mapped(view, lambda text: "".join(map(_letter, text)))
    return clean


def unbroken(view: View) -> View:
    """A view whose numbers keep their unit on the same line, for pages that wrap by themselves."""
    held: View = _mapped(view, lambda text: _BEFORE_UNIT.sub("\u00a0", text))
    return held


def _mapped(value: Any, change: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return change(value)
    if isinstance(value, tuple):
        return tuple(_mapped(part, change) for part in value)
    if is_dataclass(value) and not isinstance(value, type):
        parts = {f.name: _mapped(getattr(value, f.name), change) for f in fields(value)}
        return replace(value, **parts)
    return value


def _letter(letter: str) -> str:
    if letter in "\t\n\r":
        return " "
    hidden = letter in _TURNING or unicodedata.category(letter) in _UNPRINTED
    return "\ufffd" if hidden else letter


def key(answer: Answer) -> str:
    """The answer as a style name: "too-little-shown"."""
    return answer.value.replace(" ", "-")


def word(answer: Answer) -> str:
    """The answer as a heading: "Too little shown"."""
    return answer.value.capitalize()


def plain(name: str) -> str:
    """A quantity's name in lower-case words: "engine_speed" -> "engine speed"."""
    return _NAMES.get(name, name.replace("_", " "))


def title(name: str) -> str:
    """A quantity's name as the start of a line."""
    text = plain(name)
    return text[:1].upper() + text[1:]


def in_sentence(text: str) -> str:
    """A title inside a sentence: first letter small, unless it is an abbreviation."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def listed(items: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    return " and ".join(filter(None, (", ".join(items[:-1]), *items[-1:])))


def counted(number: int, one: str, many: str | None = None) -> str:
    """ "1 line", "2 lines"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def short(sha256: str) -> str:
    """The first digits of a hash, as printed in footers."""
    return sha256[:_HASH_SHOWN]
