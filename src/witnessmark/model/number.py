"""A number of a recipe: its value, the range others use, why, and who says so.

A number is written in trade units ("2000 rpm"). Where it stands in the file says what it
measures; where that is free (judging numbers, numbers inside a sentence) `kind` says it.
"""

from collections.abc import Callable, Mapping
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from witnessmark.errors import UserError
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.faults import fault
from witnessmark.units import Kind, Quantity, parse

# The traits of a build a condition may ask for, and the words each may take.
TRAITS: dict[str, tuple[str, ...]] = {
    "use": ("road", "race only"),
    "induction": ("natural", "turbocharged", "supercharged"),
    "boosted": ("yes", "no"),
    "cam_contact": ("roller", "bucket", "slider", "flat tappet"),
    "fuel": ("petrol", "ethanol blend", "diesel"),
    "ethanol": ("yes", "no"),
    "rings": ("hard", "moly", "iron", "steel"),
    "gapless": ("yes", "no"),
    "pistons": ("forged", "cast"),
    "transmission": ("manual", "automatic"),
    "filter": ("can be filled first", "cannot be filled first", "not said"),
    "sump": ("wet", "dry"),
    "bore_finish": ("measured", "not measured"),
}
FLAT_TAPPET = "flat tappet"
DIESEL = "diesel"


def _conditions(when: dict[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    for trait, words in when.items():
        known = TRAITS.get(trait)
        if known is None:
            raise fault(
                f"'{trait}' is not a trait of a build", f"traits are {', '.join(TRAITS)}",
                "Correct the spelling",
            )  # fmt: skip
        wrong = [word for word in words if word not in known]
        if wrong or not words:
            raise fault(
                f"{trait} has {', '.join(repr(w) for w in wrong) or 'no word at all'}",
                f"{trait} is one of {', '.join(known)}", "Correct it",
            )  # fmt: skip
    return when


When = Annotated[dict[str, tuple[str, ...]], AfterValidator(_conditions)]
Words = Annotated[str, Field(min_length=3)]


def fits(when: Mapping[str, tuple[str, ...]], traits: Mapping[str, str]) -> bool:
    """Whether a build with these traits meets every condition; no condition fits all."""
    return not unmet(when, traits)


def unmet(when: Mapping[str, tuple[str, ...]], traits: Mapping[str, str]) -> list[str]:
    """The traits that stand in the way. [names]"""
    return [trait for trait, words in when.items() if traits.get(trait) not in words]


class Entry(BaseModel):
    """What every number and every sentence of the book carries: why, and who says so.

    `owner` is whoever set it; left out, the owner of the file. `cite` is document and
    paragraph, which a published source must have. `when` limits it to some builds.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    why: Words
    source: Literal["published", "common practice", "memory"]
    cite: str = ""
    owner: str = ""
    when: When = Field(default_factory=dict)

    @model_validator(mode="after")
    def _cited(self) -> "Entry":
        if self.source == "published" and not self.cite:
            raise fault(
                "source is 'published' but nothing is cited",
                "a published source names its document and paragraph",
                'Add cite = "document, paragraph", or write source = "common practice"',
            )
        return self

    def authority(self, owner: str, note: str = "") -> Authority:
        """Who says so; `owner` is the owner of the file this stands in."""
        cite = "; ".join(part for part in (self.cite, note) if part)
        return Authority(self.owner or owner, SourceKind(self.source), cite)


def _as_text(value: object) -> object:
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    return str(value) if plain else value


Text = Annotated[str, BeforeValidator(_as_text)]


class Number(Entry):
    """A number in trade units, with the range others use.

    `of` names a value of the build sheet ("layout.redline"); then value and range are
    shares of it ("65 %").
    """

    value: Text
    range: tuple[Text, Text]
    of: str = ""
    kind: Kind | None = None

    def quantities(self) -> tuple[Quantity, Quantity, Quantity]:
        """Value, low end and high end of the range as written: shares where `of` is set. SI.

        Raises UserError if one of them cannot be read.
        """
        assert self.kind is not None, "a Number is used through one of the aliases below"
        kind = Kind.FRACTION if self.of else self.kind
        value, low, high = (parse(text, kind, "") for text in (self.value, *self.range))
        return value, low, high


def _readable(number: Number) -> Number:
    try:
        value, low, high = number.quantities()
    except UserError as error:
        raise fault(error.found, error.wanted, error.remedy) from None
    if not low.value <= value.value <= high.value:
        raise fault(
            f"{number.value} lies outside its own range {number.range[0]} to {number.range[1]}",
            "the range holds the value, low end first", "Correct the value or widen the range",
        )  # fmt: skip
    return number


def _in_kind(kind: Kind) -> Callable[[Number], Number]:
    def check(number: Number) -> Number:
        if number.kind not in (None, kind):
            raise fault(f"kind is '{number.kind}'", f"here it is always '{kind}'", "Take kind out")
        return _readable(number.model_copy(update={"kind": kind}))

    return check


def _has_kind(number: Number) -> Number:
    if number.kind is None:
        raise fault(
            "kind is missing", "this number must say what it measures",
            'Add, for example, kind = "gauge pressure"',
        )  # fmt: skip
    return _readable(number)


Speed = Annotated[Number, AfterValidator(_in_kind(Kind.ROTATIONAL_SPEED))]
Gauge = Annotated[Number, AfterValidator(_in_kind(Kind.PRESSURE))]
Temperature = Annotated[Number, AfterValidator(_in_kind(Kind.TEMPERATURE))]
Time = Annotated[Number, AfterValidator(_in_kind(Kind.DURATION))]
Hours = Annotated[Number, AfterValidator(_in_kind(Kind.RUNNING_TIME))]
Days = Annotated[Number, AfterValidator(_in_kind(Kind.CALENDAR_TIME))]
Distance = Annotated[Number, AfterValidator(_in_kind(Kind.DISTANCE))]
Share = Annotated[Number, AfterValidator(_in_kind(Kind.FRACTION))]
Count = Annotated[Number, AfterValidator(_in_kind(Kind.COUNT))]
Ratio = Annotated[Number, AfterValidator(_in_kind(Kind.RATIO))]
Length = Annotated[Number, AfterValidator(_in_kind(Kind.LENGTH))]
Clearance = Annotated[Number, AfterValidator(_in_kind(Kind.CLEARANCE))]
Warming = Annotated[Number, AfterValidator(_in_kind(Kind.TEMPERATURE_DIFFERENCE))]
Flow = Annotated[Number, AfterValidator(_in_kind(Kind.VOLUME_FLOW))]
Density = Annotated[Number, AfterValidator(_in_kind(Kind.DENSITY))]
Viscosity = Annotated[Number, AfterValidator(_in_kind(Kind.DYNAMIC_VISCOSITY))]
KinematicViscosity = Annotated[Number, AfterValidator(_in_kind(Kind.KINEMATIC_VISCOSITY))]
PerLength = Annotated[Number, AfterValidator(_in_kind(Kind.PER_LENGTH))]
Angle = Annotated[Number, AfterValidator(_in_kind(Kind.ANGLE))]
Roughness = Annotated[Number, AfterValidator(_in_kind(Kind.ROUGHNESS))]
Mass = Annotated[Number, AfterValidator(_in_kind(Kind.MASS))]
Absolute = Annotated[Number, AfterValidator(_in_kind(Kind.ABSOLUTE_PRESSURE))]
EnergyPerMass = Annotated[Number, AfterValidator(_in_kind(Kind.ENERGY_PER_MASS))]
Kinded = Annotated[Number, AfterValidator(_has_kind)]


class Saying(Entry):
    """A sentence of the book. Its {slots} are numbers beside it or values of the build sheet.

    A slot without a dot is a number of the file ({speed}); one with a dot is a value of
    the build sheet ({clutch.free_play}).
    """

    said: Words
    numbers: dict[str, Kinded] = Field(default_factory=dict)
