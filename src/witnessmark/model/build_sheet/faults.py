"""Pydantic's complaints in the words of the trade: where, found, wanted, what to do."""

from collections.abc import Sequence
from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from witnessmark.errors import UserError
from witnessmark.model.build_sheet.paths import example_of, model_in, words_of
from witnessmark.model.build_sheet.sheet import BuildSheet
from witnessmark.model.build_sheet.words import toml

Place = tuple[int | str, ...]

# Pydantic's name for a complaint -> what was found, what is wanted.
_PLAIN = {
    "int_type": ("is no whole number", "a whole number is wanted"),
    "string_type": ("is no text", "text in quotes is wanted"),
    "string_too_short": ("is empty", "text is wanted"),
    "string_too_long": ("is too long", "at most 200 letters are wanted"),
    "string_pattern_mismatch": ("is not written as wanted", "the usual form is wanted"),
    "tuple_type": ("is a single value", "a list is wanted, one value for each"),
    "too_short": ("is an empty list", "at least one value is wanted"),
    "model_type": ("is no section", "a section is wanted"),
}


def faults(error: ValidationError, where: str) -> list[UserError]:
    """Every fault pydantic found, in the sheet's order."""
    return [_fault(detail, where) for detail in error.errors(include_url=False)]


def _fault(detail: Any, where: str) -> UserError:
    loc: Place = detail["loc"]
    at = f"{where}, {path_of(loc)}"
    kind, value, context = detail["type"], detail["input"], detail.get("ctx", {})
    if "found" in context:
        return UserError(at, context["found"], context["wanted"], context["remedy"])
    if kind == "extra_forbidden":
        return _unknown_key(loc, where)
    info = _info(loc)
    if kind == "missing":
        choices = f", one of {_choices(words_of(info))}" if words_of(info) else ""
        wanted = f"wanted: {info.title}{choices}"
        return UserError(at, "it is missing", wanted, f"Write it as {_assignment(loc, info)}")
    if kind == "literal_error":
        return _unknown_word(at, value, words_of(info))
    if kind in ("greater_than_equal", "less_than_equal"):
        limit = context.get("ge", context.get("le"))
        side = "least" if "ge" in context else "most"
        return UserError(at, f"{_short(value)} is out of range", f"at {side} {limit} is wanted",
                         f"Write it as {_assignment(loc, info)}")  # fmt: skip
    found, wanted = _PLAIN.get(kind, ("does not fit", str(detail["msg"]).lower()))
    return UserError(
        at, f"{_short(value)} {found}", wanted, f"Write it as {_assignment(loc, info)}"
    )


def path_of(loc: Place) -> str:
    """The place of a value as a person counts it: rod_bearings.clearances[3] is the third."""
    text = ""
    for step in loc:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def _unknown_key(loc: Place, where: str) -> UserError:
    *before, key = loc
    model = _model(before)
    known = list(model.model_fields) if model else []
    place = f"[{path_of(tuple(before))}]" if before else "a build sheet"
    near = get_close_matches(str(key).lower(), known, n=1)
    remedy = f"Did you mean '{near[0]}'?" if near else "Take it out, or put it where it belongs"
    return UserError(
        f"{where}, {path_of(loc)}", f"{_short(key)} is unknown here",
        f"{place} knows {', '.join(known)}", remedy,
    )  # fmt: skip


def _unknown_word(at: str, value: object, words: Sequence[str]) -> UserError:
    near = get_close_matches(str(value).lower()[:60], [word.lower() for word in words], n=1)
    spelt = next((word for word in words if near and word.lower() == near[0]), None)
    remedy = f"Did you mean '{spelt}'?" if spelt else "Take the nearest of these"
    wanted = f"one of {_choices(words)} is wanted"
    return UserError(at, f"{_short(value)} is no choice here", wanted, remedy)


def _choices(words: Sequence[str]) -> str:
    return ", ".join(f"'{word}'" for word in words)


def _assignment(loc: Place, info: FieldInfo) -> str:
    names = [str(step) for step in loc if isinstance(step, str)]
    inner = model_in(info.annotation)
    if inner is not None:
        return f"a section that begins with [{'.'.join(names)}]"
    return f"{names[-1]} = {toml(example_of(info))}, under [{'.'.join(names[:-1])}]"


def _info(loc: Sequence[int | str]) -> FieldInfo:
    names = [step for step in loc if isinstance(step, str)]
    model = _model(names[:-1]) or BuildSheet
    return model.model_fields[names[-1]]


def _model(loc: Sequence[int | str]) -> type[BaseModel] | None:
    model: type[BaseModel] | None = BuildSheet
    for step in loc:
        if isinstance(step, str) and model is not None:
            info = model.model_fields.get(step)
            model = model_in(info.annotation) if info else None
    return model


def _short(value: object) -> str:
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    text = " ".join(str(value).split())
    return f"'{text[:60]}…'" if len(text) > 60 else f"'{text}'"
