"""What the tuner decided about an engine, as its plan remembers it."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from witnessmark.model.authority import Authority
from witnessmark.units import Quantity


class Decision(StrEnum):
    """What may happen next with the engine."""

    CONTINUE = "continue"
    NEW_MAP = "new map"
    REPEAT = "repeat the log"
    STOP = "stop"


@dataclass(frozen=True)
class MapNamed:
    """A map of the engine's control unit: what people call it, and its checksums ("" if none).

    `crc32` is the checksum of ISO-HDLC (IEEE 802.3, as in zip), eight hexadecimal digits.
    """

    name: str
    sha256: str = ""
    crc32: str = ""

    def differs(self, other: "MapNamed") -> bool:
        """Whether a checksum both carry tells them apart. Names are not compared."""
        pairs = ((self.sha256, other.sha256), (self.crc32, other.crc32))
        return any(mine != theirs for mine, theirs in pairs if mine and theirs)

    def proves(self, other: "MapNamed") -> bool:
        """Whether both carry one checksum that is the same, and none that differs."""
        pairs = ((self.sha256, other.sha256), (self.crc32, other.crc32))
        return any(mine and mine == theirs for mine, theirs in pairs) and not self.differs(other)


@dataclass(frozen=True)
class NewCeiling:
    """A ceiling the tuner set in one phase, and the one it took the place of (None: none)."""

    phase: str
    name: str
    value: Quantity
    before: Quantity | None
    before_by: Authority | None

    @property
    def raised(self) -> bool:
        """Whether it allows more than the plan did; a ceiling where there was none allows less."""
        return self.before is not None and self.value.value > self.before.value


@dataclass(frozen=True)
class TunerAnswer:
    """One answer of the tuner, as it was taken into the plan.

    `plan_sha256`, `log_sha256`, `packet`: what he answered; the plan is the one before this answer.
    `sha256`: of the answer's text as received, UTF-8.
    """

    decision: Decision
    words: str
    signed_by: str
    signed_on: date
    map: MapNamed | None
    ceilings: tuple[NewCeiling, ...]
    plan_sha256: str
    log_sha256: str
    packet: str
    sha256: str
