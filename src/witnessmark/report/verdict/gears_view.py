"""The gears of a drive in words."""

from dataclasses import dataclass

from witnessmark.checks.driving.gears import Gears, GearTime, Out
from witnessmark.report.words import listed
from witnessmark.units import Kind, Preferences, Quantity, show

_OUT = {
    Out.CHANGING: "changing gear",
    Out.COASTING: "rolling with the clutch down, in neutral or freed",
    Out.SLIPPING: "with clutch or converter slipping",
}


@dataclass(frozen=True)
class GearView:
    """One gear: its name or "", its engine speed at a round road speed, time and distance."""

    name: str
    turns: str
    time: str
    distance: str


@dataclass(frozen=True)
class GearsView:
    """The gears driven, lowest first, and how they were told; `said` where they were not."""

    gears: tuple[GearView, ...]
    said: str


def gears_view(gears: Gears | None, prefer: Preferences) -> GearsView | None:
    """The gears in the reader's units; None where nothing was looked at."""
    if gears is None:
        return None
    if not gears.used:
        return GearsView((), f"Gears are not to be told: {gears.why}.")
    rows = tuple(_gear(n, used, gears.named_at, prefer) for n, used in enumerate(gears.used, 1))
    rest = [
        f"{show(Quantity(gears.out[reason], Kind.DURATION), prefer)} {words}"
        for reason, words in _OUT.items()
        if gears.out.get(reason, 0.0) >= 1.0
    ]
    said = f"{gears.why[:1].upper()}{gears.why[1:]}."
    return GearsView(rows, said + (f" In no gear: {listed(rest)}." if rest else ""))


def _gear(number: int, used: GearTime, named_at: float, prefer: Preferences) -> GearView:
    turns = show(Quantity(used.turns * named_at, Kind.ROTATIONAL_SPEED), prefer)
    return GearView(
        used.name or f"{number}. of those seen",
        f"{turns} at {show(Quantity(named_at, Kind.ROAD_SPEED), prefer)}",
        show(Quantity(used.seconds, Kind.DURATION), prefer),
        show(Quantity(used.distance, Kind.DISTANCE), prefer),
    )
