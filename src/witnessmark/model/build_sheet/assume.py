"""Fill what the sheet leaves out, and keep a note of every filling.

The fillings are data: book/assumed.toml says what is put in, why, and how far to trust it.
"""

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from pydantic import BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo

from witnessmark.errors import UserError
from witnessmark.model.authority import SourceKind
from witnessmark.model.build_sheet.fields import Taken, unsaid
from witnessmark.model.build_sheet.paths import field_at, keys, measure_of, title_at
from witnessmark.model.build_sheet.sheet import BuildSheet
from witnessmark.model.plan import Assumption
from witnessmark.model.said import Said
from witnessmark.units import Quantity, parse

MOST = 64  # journals or cylinders; more is a slip of the pen, and validation says so


class Filling(BaseModel):
    """One entry of book/assumed.toml."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    path: str
    value: str | float | None = None
    of: str | None = None
    times: float = 1.0
    plus: float = 0.0
    open: str | None = None
    each: str | None = None
    planning: bool = False
    when: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    unless: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    shown_by: str | None = None
    loose: bool = False
    why: str
    source: SourceKind
    cite: str = ""


@dataclass(frozen=True)
class Filled:
    """A filling as it was used on one sheet."""

    filling: Filling
    value: Taken | str | float | int | None  # None where nothing was put in


@cache
def fillings() -> tuple[Filling, ...]:
    """All entries of book/assumed.toml, in order."""
    text = files("witnessmark").joinpath("book", "assumed.toml").read_text(encoding="utf-8")
    return tuple(Filling.model_validate(entry) for entry in tomllib.loads(text)["assumed"])


def fillings_of(path: str) -> tuple[Filling, ...]:
    """The entries that may stand in for one key, first that fits first."""
    return tuple(filling for filling in fillings() if filling.path == path)


def fill(raw: dict[str, Any]) -> list[Filled]:
    """Put a value into `raw` (changed in place) for every key it leaves out; say which.

    A value written as "not measured" counts as left out. A filling that rests on a faulty
    value is put in blind: the fault itself is reported when the sheet is validated.
    """
    used: list[Filled] = []
    for path, info in keys(BuildSheet):
        if unsaid(at(raw, path)) and may_be_left_out(path, info):
            _put(raw, path, None)
    for filling in fillings():
        if not _applies(filling, raw):
            continue
        value = None if filling.open else _value(filling, raw)
        if value is not None:
            _put(raw, filling.path, _each(filling, raw, value))
        if filling.shown_by is None or at(raw, filling.shown_by) is None:
            used.append(Filled(filling, value))
    return used


def may_be_left_out(path: str, info: FieldInfo) -> bool:
    """Whether a sheet without this key is still a sheet."""
    return not info.is_required() or bool(fillings_of(path))


def noted(used: list[Filled]) -> tuple[Assumption, ...]:
    """The fillings as the plan prints them. Call it once the sheet is known to be sound."""
    return tuple(_note(one.filling, one.value) for one in used)


def at(raw: Mapping[str, Any], path: str) -> Any:
    """What the sheet says at a dotted path; None if it says nothing."""
    here: Any = raw
    for key in path.split("."):
        here = here.get(key) if isinstance(here, Mapping) else None
    return here


def _applies(filling: Filling, raw: dict[str, Any]) -> bool:
    if at(raw, filling.path) is not None:
        return False
    return all(_says(raw, path, words) for path, words in filling.when.items()) and not any(
        _says(raw, path, words) for path, words in filling.unless.items()
    )


def _says(raw: Mapping[str, Any], path: str, words: tuple[str, ...]) -> bool:
    said = " ".join(str(at(raw, path)).lower().split())
    return said in (word.lower() for word in words)


def _value(filling: Filling, raw: dict[str, Any]) -> Taken | str | float | int:
    if filling.of is None:
        assert filling.value is not None, filling.path
        return filling.value
    number = _number(raw, filling.of) * filling.times + filling.plus
    if measure_of(field_at(BuildSheet, filling.path)) is not None:
        return Taken(number)
    given = at(raw, filling.shown_by) if filling.shown_by else None
    if isinstance(given, list) and (filling.loose or math.isnan(number)):
        return len(given)
    return int(number) if 1 <= number <= MOST else 1


def _number(raw: dict[str, Any], path: str) -> float:
    value, measure = at(raw, path), measure_of(field_at(BuildSheet, path))
    if isinstance(value, Taken):
        return value.value
    if measure is None:
        return float(value) if isinstance(value, int) and 0 < value <= MOST else math.nan
    try:
        return parse(str(value), measure.kind, "").value
    except UserError:
        return math.nan


def _each(filling: Filling, raw: dict[str, Any], value: object) -> object:
    if filling.each is None:
        return value
    count = _number(raw, filling.each)
    return [value] * (0 if math.isnan(count) else int(count))


def _put(raw: dict[str, Any], path: str, value: object) -> None:
    *sections, key = path.split(".")
    here: Any = raw
    for section in sections:
        here = here.setdefault(section, {}) if isinstance(here, dict) else None
    if not isinstance(here, dict):
        return  # a section that is no table: validation says so
    if value is None:
        here.pop(key, None)
    else:
        here[key] = value


def _note(filling: Filling, value: Taken | str | float | int | None) -> Assumption:
    title = title_at(BuildSheet, filling.path)
    why = f"{filling.why} ({filling.source.value}{': ' if filling.cite else ''}{filling.cite})"
    if value is None:
        return Assumption(filling.path, Said(f"{title}: {filling.open}"), why)
    each = " each" if filling.each else ""
    text = (
        f"{title}: not measured; {{value}}{each} taken as nominal, for planning only"
        if filling.planning
        else f"{title}: not said; {{value}} assumed"
    )
    return Assumption(filling.path, Said(text, {"value": _quantity(filling.path, value)}), why)


def _quantity(path: str, value: Taken | str | float | int) -> Quantity | str:
    measure = measure_of(field_at(BuildSheet, path))
    if measure is None:
        return str(value)
    return Quantity(measure.read(value), measure.kind)
