"""A drive as a shop keeps it, and what an engine's drives add up to."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class KeptDrive:
    """One drive of one engine. SI; None where the log did not show it: never zero for want of data.

    `sha256`: of the log's bytes. `running`: seconds the engine turned by itself. `distance_from`:
    the channel it is by. `starts`: starts the log shows; `began_running`: its first sample is of
    a turning engine, so the start before it is not shown. `twin_of`: hash of the log that took
    the same drive, "" if none; such a one counts for nothing. `unlike`: whether engine speed
    could tell it from the others kept.
    """

    sha256: str
    name: str
    kept_on: str  # ISO date
    started: str  # ISO date and time, "" if the log does not say
    seconds: float
    running: float
    revolutions: float | None
    distance: float | None
    distance_from: str
    starts: int
    began_running: bool
    phase: str
    answer: str
    twin_of: str = ""
    lag: float = 0.0  # s from the start of that log to the start of this one
    told_apart: bool = True
    distance_unit: str = "km"  # the engine's people think in it


@dataclass(frozen=True)
class EngineTotals:
    """What the drives of one engine add up to, twins counted once. SI.

    `without_distance`, `without_start`: drives that do not show theirs. `twins`: logs left out.
    """

    drives: int
    running: float
    revolutions: float | None
    distance: float | None
    without_distance: int
    starts: int
    without_start: int
    twins: int


def totals(drives: Sequence[KeptDrive]) -> EngineTotals:
    """The sums. Revolutions and distance are None if no drive shows any."""
    counted = [d for d in drives if not d.twin_of]
    far = [d.distance for d in counted if d.distance is not None]
    turned = [d.revolutions for d in counted if d.revolutions is not None]
    return EngineTotals(
        drives=len(counted), running=sum(d.running for d in counted),
        revolutions=sum(turned) if turned else None, distance=sum(far) if far else None,
        without_distance=len(counted) - len(far), starts=sum(d.starts for d in counted),
        without_start=sum(d.began_running for d in counted), twins=len(drives) - len(counted),
    )  # fmt: skip
