"""The tuner's answer as a file: what he writes into answer.toml or into the form."""

import math
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from witnessmark.errors import UserError
from witnessmark.model.build_sheet.sections import Day
from witnessmark.model.faults import fault
from witnessmark.model.tuner_answer import Decision
from witnessmark.units import Kind, Quantity, parse

FORMAT = "witnessmark answer 1"

# What a phase may have a ceiling on, and what each measures: the names of a recipe's ceilings.
CEILINGS: dict[str, Kind] = {
    "engine_speed": Kind.ROTATIONAL_SPEED,
    "boost": Kind.PRESSURE,
    "coolant_temperature": Kind.TEMPERATURE,
    "oil_temperature": Kind.TEMPERATURE,
    "oil_pressure": Kind.PRESSURE,
    "steady_cruise": Kind.DURATION,
    "idle_spell": Kind.DURATION,
    "lugging": Kind.DURATION,
}
_NEEDS_MAP = (Decision.CONTINUE, Decision.NEW_MAP)


def _printable(text: str) -> str:
    kept = text.strip()
    if any(not letter.isprintable() and letter not in "\n\t" for letter in kept):
        raise fault(
            "it holds signs that cannot be printed", "plain words are wanted", "Type it again"
        )
    return kept


Words = Annotated[str, AfterValidator(_printable), Field(max_length=4000)]
Short = Annotated[str, AfterValidator(_printable), Field(max_length=200)]


def _hex(digits: int, what: str) -> AfterValidator:
    def check(text: str) -> str:
        plain = text.strip().lower()
        if plain and (len(plain) != digits or set(plain) - set("0123456789abcdef")):
            raise fault(
                f"'{text[:80]}' is not a {what}", f"{digits} of the signs 0-9 and a-f are wanted",
                "Copy it whole from the packet's first page",
            )  # fmt: skip
        return plain

    return AfterValidator(check)


Sha256 = Annotated[str, _hex(64, "SHA-256")]
Crc32 = Annotated[str, _hex(8, "CRC32")]


def _plain(value: object) -> object:
    return " ".join(value.lower().split())[:80] if isinstance(value, str) else value


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class MapFile(_Part):
    """The map by name, and at least one checksum of its file."""

    name: Short = Field("", title="what you call the map", examples=["heron stage 1 v7"])
    sha256: Sha256 = Field("", title="SHA-256 of the map file")
    crc32: Crc32 = Field("", title="CRC32 of the map file, as zip counts it")


class Ceilings(_Part):
    """New ceilings of one phase, each a number with its unit. What is left out stays as it is."""

    engine_speed: Short = Field("", examples=["4200 rpm"])
    boost: Short = Field("", title="above the atmosphere", examples=["0.6 bar"])
    coolant_temperature: Short = Field("", examples=["100 °C"])
    oil_temperature: Short = Field("", examples=["115 °C"])
    oil_pressure: Short = Field("", examples=["90 psi"])
    steady_cruise: Short = Field("", title="longest steady cruise", examples=["90 s"])
    idle_spell: Short = Field("", title="longest spell of idling", examples=["5 min"])
    lugging: Short = Field("", title="longest spell of lugging", examples=["2 s"])

    @model_validator(mode="after")
    def _readable(self) -> "Ceilings":
        self.quantities()
        return self

    def quantities(self) -> dict[str, Quantity]:
        """What is given, by name, in SI."""
        found = {}
        for name, kind in CEILINGS.items():
            text = getattr(self, name)
            if not text:
                continue
            try:
                value = parse(text, kind, name)
            except UserError as error:
                raise fault(f"{name}: {error.found}", error.wanted, error.remedy) from None
            least = -math.inf if kind is Kind.TEMPERATURE else 0.0  # no boost at all is a ceiling
            zero = value.value == 0 and kind is not Kind.PRESSURE
            if not math.isfinite(value.value) or value.value < least or zero:
                raise fault(
                    f"{name} is '{text}'", "a ceiling above zero is wanted",
                    "Correct it, or leave it empty to keep the plan's",
                )  # fmt: skip
            found[name] = value
        return found


class AnswerFile(_Part):
    """The whole answer, checked against itself; against its plan by `jobs.tuner_answer`."""

    format: Literal["witnessmark answer 1"]
    packet: Short = Field("", title="id of the packet it answers")
    serial: Short = Field(title="serial number of the engine", min_length=1)
    plan_sha256: Sha256 = Field(title="SHA-256 of the plan it answers", min_length=1)
    log_sha256: Sha256 = Field("", title="SHA-256 of the log it answers")
    decision: Annotated[Decision, BeforeValidator(_plain)] = Field(title="decision")
    words: Words = Field("", title="what you want to say about it")
    signed_by: Short = Field(title="your name")
    signed_on: Day = Field(title="day", examples=["2026-11-05"])
    map: MapFile = Field(default_factory=MapFile)
    ceilings: dict[str, Ceilings] = Field(default_factory=dict, title="new ceilings, by phase")

    @model_validator(mode="after")
    def _whole(self) -> "AnswerFile":
        _signed(self)
        if self.decision in _NEEDS_MAP:
            _names_its_map(self)
        else:
            _says_why(self)
        return self

    def new_ceilings(self) -> dict[str, dict[str, Quantity]]:
        """What it sets, by phase and name; phases where all is left empty are left out."""
        given = {phase: table.quantities() for phase, table in self.ceilings.items()}
        return {phase: found for phase, found in given.items() if found}


def _signed(answer: AnswerFile) -> None:
    if not answer.signed_by:
        raise fault("signed_by is empty", "an answer carries its tuner's name", "Write your name")


def _names_its_map(answer: AnswerFile) -> None:
    if not answer.map.name or not (answer.map.sha256 or answer.map.crc32):
        raise fault(
            f"decision '{answer.decision}' without a map's name and checksum",
            "whoever lets an engine go on names the map it goes on with",
            "Fill in [map]: name, and sha256 or crc32 of the file",
        )  # fmt: skip


def _says_why(answer: AnswerFile) -> None:
    if not answer.words:
        raise fault(
            f"decision '{answer.decision}' without a word", "the technician must be told why",
            "Write it under words",
        )  # fmt: skip
    if answer.new_ceilings():
        raise fault(
            f"decision '{answer.decision}' with new ceilings",
            "it leaves the plan's ceilings as they are",
            "Take the ceilings out, or decide 'continue' or 'new map'",
        )  # fmt: skip
