"""What a build sheet is held against: book/build-rules.toml, or a shop's own copy of it."""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict

from witnessmark.errors import UserError
from witnessmark.model.build_sheet.paths import field_at, measure_of
from witnessmark.model.build_sheet.sheet import BuildSheet
from witnessmark.model.faults import fault, read_as
from witnessmark.model.number import Entry, Kinded, Words
from witnessmark.model.plan import Limit
from witnessmark.units import Kind, parse

# Values worked out from the sheet that a window may name.
DERIVED = {
    "derived.piston_speed": Kind.PISTON_SPEED,
    "derived.tyre_diameter": Kind.LENGTH,
    "derived.top_speed": Kind.ROAD_SPEED,
}


def _known(path: str) -> str:
    try:
        _ = path in DERIVED or field_at(BuildSheet, path)
    except KeyError:
        raise fault(
            f"'{path}' is no key of the build sheet",
            "a measured key is wanted", "See the build sheet page of the reference",
        ) from None  # fmt: skip
    return path


Path = Annotated[str, AfterValidator(_known)]


class Window(Entry):
    """Where a value of the sheet may lie; with `per`, as a share of another value."""

    path: Path
    item: Words
    per: Path | None = None
    least: str | float
    most: str | float
    own_least: Path | None = None
    own_most: Path | None = None
    below_zero: str = ""

    @property
    def kind(self) -> Kind:
        """What the value measures."""
        derived = DERIVED.get(self.path)
        measure = None if derived else measure_of(field_at(BuildSheet, self.path))
        return derived or (measure.kind if measure else Kind.COUNT)

    @property
    def ends(self) -> tuple[float, float]:
        """Least and most, in SI, or as shares where `per` is set."""
        kind = Kind.RATIO if self.per else self.kind
        least, most = (parse(str(end), kind, self.path).value for end in (self.least, self.most))
        return least, most


def _readable(window: Window) -> Window:
    try:
        least, most = window.ends
    except UserError as error:
        raise fault(error.found, error.wanted, error.remedy) from None
    if least > most:
        raise fault(
            f"{window.least} is over {window.most}", "least comes before most", "Turn them round"
        )
    return window


class BuildRules(BaseModel):
    """All windows and numbers, and whose they are."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    owner: Words
    version: str
    windows: tuple[Annotated[Window, AfterValidator(_readable)], ...]
    numbers: dict[str, Kinded]

    def limit(self, name: str) -> Limit:
        """A single number by its name, with its range and owner."""
        number = self.numbers[name]
        value, low, high = number.quantities()
        return Limit(value, low, high, number.why, number.authority(self.owner))


def read_rules(text: str, where: str) -> BuildRules:
    """Read a rules file. Raises UserErrors naming every fault in it."""
    try:
        data = tomllib.loads(text)
    except ValueError as error:
        raise UserError(where, str(error), "a TOML file is wanted", "Correct that line") from None
    return read_as(BuildRules, data, where)


@cache
def default_rules() -> BuildRules:
    """The rules in the book."""
    text = files("witnessmark").joinpath("book", "build-rules.toml").read_text(encoding="utf-8")
    return read_rules(text, "build-rules.toml")
