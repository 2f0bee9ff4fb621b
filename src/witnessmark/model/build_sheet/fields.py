"""How one value of a build sheet is written, read and described.

A measured value is written with its unit ("0.0022 in") and kept as a float in SI. Its `Measure`
stands in the annotation, so that a slot, a check or the reference page can ask for the kind.
"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from witnessmark.errors import UserError
from witnessmark.model.faults import fault
from witnessmark.units import Kind, parse, pressure_reference

UNSAID = ("not measured", "not said", "not known")
_COMMA = re.compile(r"\d,\d")


class Section(BaseModel):
    """A table of the sheet: nothing unknown in it, nothing changed after reading."""

    model_config = ConfigDict(frozen=True, extra="forbid")


@dataclass(frozen=True)
class Taken:
    """A value in SI that we put in ourselves, because the sheet does not say."""

    value: float


def unsaid(value: object) -> bool:
    """Whether a person wrote himself that this is not known."""
    return isinstance(value, str) and value.strip().lower() in UNSAID


@dataclass(frozen=True)
class Measure:
    """A value with a unit, as an annotation: what it measures and how a person writes it."""

    kind: Kind
    example: str
    positive: bool = True  # a size that can only be above zero

    @property
    def plain(self) -> bool:
        """Whether a bare number is enough, and no unit is wanted."""
        return self.kind in (Kind.RATIO, Kind.COUNT)

    def read(self, value: object) -> float:
        """Number in the SI unit of the kind; a pydantic fault if it is not one."""
        if isinstance(value, Taken):
            return value.value
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise fault(f"{_shown(value)} is not {self._a()}", f"{self._a()} is wanted", self._do())
        if unsaid(value):
            raise fault(f"it says '{value}'", "a number is wanted here", f"Find out. {self._do()}")
        if _COMMA.search(str(value)):
            raise fault(
                f"'{value}' has a comma", f"{self._a()} with a dot for the decimal is wanted",
                self._do(),
            )  # fmt: skip
        try:
            number = parse(str(value), self.kind, "").value
        except UserError as error:
            raise fault(error.found, error.wanted, self._do()) from None
        if not math.isfinite(number):
            raise fault(f"'{value}' is without end", f"{self._a()} is wanted", self._do())
        self._same_zero(str(value))
        if self.positive and number <= 0:
            raise fault(f"'{value}' is not above zero", "a size above zero is wanted", self._do())
        return number

    def _same_zero(self, text: str) -> None:
        if self.kind is Kind.PRESSURE and pressure_reference(text) is Kind.ABSOLUTE_PRESSURE:
            raise fault(
                f"'{text}' is an absolute pressure", "a gauge pressure is wanted",
                f"Take the air pressure off it and write it as '{self.example}'",
            )  # fmt: skip

    def _do(self) -> str:
        return f"Write it as {self.example}" if self.plain else f"Write it as '{self.example}'"

    def _a(self) -> str:
        return f"{'an' if self.kind.value[0] in 'aeiou' else 'a'} {self.kind.value}"

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        """Read the value ourselves; pydantic adds nothing."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, _: CoreSchema, __: GetJsonSchemaHandler) -> Any:
        """Text with a unit; a bare number too where there is no unit."""
        written: JsonSchemaValue = {"type": "string", "examples": [self.example]}
        if self.plain:
            written = {"type": ["number", "string"], "examples": [float(self.example)]}
        else:
            written["pattern"] = r"^\s*[+-]?\d+(\.\d+)?([eE][+-]?\d+)?\s*[^\d\s.,+-].*$"
        return written | {"x-kind": self.kind.value}


@dataclass(frozen=True)
class Word:
    """One of a few words, whatever its capitals and spaces. Annotates a Literal."""

    def __get_pydantic_core_schema__(self, source: Any, next_: GetCoreSchemaHandler) -> CoreSchema:
        """Bring the word to our spelling, then let the Literal judge it."""
        return core_schema.no_info_before_validator_function(
            _spell(get_args(source)), next_(source)
        )


def _spell(words: tuple[str, ...]) -> Callable[[object], object]:
    spelling = {word.lower(): word for word in words}

    def read(value: object) -> object:
        if not isinstance(value, str):
            return value
        return spelling.get(" ".join(value.lower().split()), value)

    return read


def _shown(value: object) -> str:
    kinds = {bool: "a yes or no", list: "a list", dict: "a table"}
    return kinds.get(type(value), f"'{value}'")
