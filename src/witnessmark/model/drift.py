"""What changed in an engine's oil system from its first log to a later one."""

from dataclasses import dataclass
from enum import StrEnum

from witnessmark.model.log import Source
from witnessmark.units import Quantity


class Moved(StrEnum):
    """What a log says of one part."""

    CHANGED = "changed"
    SAME = "not changed"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class Change:
    """One part in one log, against the reference. Shares: 0.15 is 15 % more. [-]

    share with low and high: best, 5 and 95 %; sure: standard errors it stands away from no
    change, limit: how many are asked before 'changed' is said; worth: change worth knowing;
    seen: how surely that would have been seen in this log; least: what would have been seen as
    surely as `Drift.power` asks.
    """

    name: str
    title: str
    moved: Moved
    share: float
    low: float
    high: float
    sure: float
    limit: float
    worth: float
    seen: float
    least: float


@dataclass(frozen=True)
class ThinnerOil:
    """What oil would explain the log in place of leakage. Shares [-].

    viscosity: change of the viscosity; fuel: least and most fuel that would make the oil that
    thin, None if no fuel could; odds: how many times likelier leakage is, told_apart if that is
    enough to say so.
    """

    viscosity: float
    fuel: tuple[float, float] | None
    odds: float
    told_apart: bool


@dataclass(frozen=True)
class LogDrift:
    """One log: what oil was in it, what changed, what to bear in mind."""

    source: Source
    seconds: float
    oil: str
    changes: tuple[Change, ...]
    thinner: ThinnerOil
    scatter: float
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Drift:
    """Log after log against the reference.

    reference: which log or calibration that is; values: the followed parts there; false_alarms:
    share of sound logs in which any line would say 'changed'; power: see Change.least. [-]
    """

    serial: str
    build_sha256: str
    book_sha256: str
    reference: str
    values: tuple[tuple[str, Quantity], ...]
    false_alarms: float
    power: float
    logs: tuple[LogDrift, ...]


@dataclass(frozen=True)
class OilSaid:
    """What the user says of the oil in a log: from here on a new fill, of another grade if one
    is named; fuel in it by mass, 0 if nothing is said. [-]
    """

    new: bool = False
    grade: str = ""
    fuel: float = 0.0


def worst(found: Drift) -> Moved:
    """Changed if anything did, else cannot tell if any line cannot, else not changed."""
    said = [each.moved for log in found.logs for each in log.changes]
    return next((word for word in (Moved.CHANGED, Moved.CANNOT_TELL) if word in said), Moved.SAME)
