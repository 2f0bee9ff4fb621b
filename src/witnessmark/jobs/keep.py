"""Keep a reviewed drive in the shop's folder: its file as it came, and what the engine did."""

import hashlib
from dataclasses import dataclass
from datetime import date

import numpy as np

from witnessmark.errors import UserError
from witnessmark.jobs.review import Review
from witnessmark.logs.twins import trace
from witnessmark.model.kept_drive import EngineTotals, KeptDrive, totals
from witnessmark.model.log import Floats, Log, Span
from witnessmark.model.said import Said
from witnessmark.records.drives import drives_of, keep_drive, kept_elsewhere
from witnessmark.records.originals import keep_original
from witnessmark.records.shop import Shop
from witnessmark.records.told import remember
from witnessmark.units import Kind, Quantity

_AN_HOUR = 3600.0  # s

NOTHING_KEPT = Said(
    "Nothing is kept of this drive. With a shop folder (--shop FOLDER) the log, your corrections "
    "and the engine's hours are."
)


@dataclass(frozen=True)
class Kept:
    """What was kept, what the engine's drives now add up to, and what there is to say of it."""

    serial: str
    drive: KeptDrive
    totals: EngineTotals
    said: tuple[Said, ...]


def keep_or_say(
    shop: Shop, found: Review, data: bytes, told: tuple[str, ...] = ()
) -> tuple[Said, ...]:
    """What there is to say after keeping a drive, or why it was not kept: the verdict stands."""
    try:
        return keep(shop, found, data, told).said
    except UserError as fault:
        return (Said("NOT KEPT. {fault}", {"fault": str(fault)}),)


def keep(shop: Shop, found: Review, data: bytes, told: tuple[str, ...] = ()) -> Kept:
    """Keep the log's bytes, the drive and what was said of columns.

    `data`: the file as it came. `told`: corrections as typed. UserError if the folder is damaged
    or cannot be written, or if the file is no longer the one that was judged.
    """
    log, serial = found.log, found.plan.serial
    if hashlib.sha256(data).hexdigest() != log.source.sha256:
        raise UserError(
            log.source.name, "the file changed while it was judged", "a finished log is wanted",
            "Stop the logger, then review it again",
        )  # fmt: skip
    today = date.today().isoformat()  # the shop's own day: a technician reads it
    keep_original(shop, data, log.source.name, today)
    if told:
        remember(shop, log.source.layout, told, today)
    drive = keep_drive(shop, serial, drive_of(found, today), trace(log))
    elsewhere = kept_elsewhere(shop, serial, drive.sha256)
    drives = drives_of(shop, serial)
    summed = totals(drives)
    return Kept(serial, drive, summed, tuple(_said(serial, drive, drives, summed, elsewhere)))


def drive_of(found: Review, today: str) -> KeptDrive:
    """What the engine did in a drive. `today`: ISO date, when it was judged."""
    log = found.log
    speed = log["engine_speed"]
    running = speed > found.plan.limits["running_speed"].value.value
    whole = Span(float(log.time[0]), float(log.time[-1] + log.held[-1]))
    passed = log.passed(whole)
    distance, by = _distance(log, passed.distance)
    starts, began = _starts(log, running, speed)
    return KeptDrive(
        sha256=log.source.sha256, name=log.source.name, kept_on=today,
        started=log.started.isoformat() if log.started else "", seconds=passed.seconds,
        running=log.total(running), revolutions=passed.revolutions, distance=distance,
        distance_from=by, starts=starts, began_running=began, phase=found.phase.id,
        answer=found.verdict.answer.value, distance_unit=found.plan.prefer.distance,
    )  # fmt: skip


def _distance(log: Log, by_speed: float | None) -> tuple[float | None, str]:
    """Distance travelled and the channel it is by; by road speed before a counter."""
    if by_speed is not None:
        return by_speed, "road_speed"
    if "distance" not in log:
        return None, ""
    counted = log["distance"][np.isfinite(log["distance"])]
    steps = np.diff(counted)
    # A trip counter set back to zero takes nothing away from what was driven.
    return float(steps[steps > 0].sum()), "distance"


def _starts(log: Log, running: np.ndarray, speed: Floats) -> tuple[int, bool]:
    """Starts from a standing engine that the log shows, and whether it began with it turning."""
    known = np.flatnonzero(np.isfinite(speed))
    if not known.size:
        return 0, False
    turning = running[known]
    starts = int((turning[1:] & ~turning[:-1]).sum())
    return starts, bool(turning[0])


def _said(
    serial: str, drive: KeptDrive, drives: list[KeptDrive], summed: EngineTotals, elsewhere: str
) -> list[Said]:
    said = []
    if drive.twin_of:
        other = next(d for d in drives if d.sha256 == drive.twin_of)
        said.append(Said(
            "Engine speed says that {other} took this same drive, and this log began {lag} "
            "{side}: it counts once.",
            {"other": other.name, "lag": Quantity(abs(drive.lag), Kind.DURATION),
             "side": "later" if drive.lag >= 0 else "earlier"},
        ))  # fmt: skip
    elif not drive.told_apart:
        said.append(Said(
            "Engine speed hardly moves, so nobody can tell whether another logger took this same "
            "drive: it counts as one of its own."
        ))  # fmt: skip
    if elsewhere:
        said.append(Said(
            "The same log is kept for engine {other} too: one of the two is the wrong engine.",
            {"other": elsewhere},
        ))  # fmt: skip
    return [*said, _sum(serial, summed)]


def ran(seconds: float) -> Quantity:
    """Running time as it is read: in minutes while short, for ten of them are not 0.2 h."""
    return Quantity(
        float(round(seconds)), Kind.DURATION if seconds < _AN_HOUR else Kind.RUNNING_TIME
    )


def _sum(serial: str, summed: EngineTotals) -> Said:
    drives = "1 drive" if summed.drives == 1 else f"{summed.drives} drives"
    values: dict[str, Quantity | str] = {
        "serial": serial, "drives": drives, "running": ran(summed.running),
    }  # fmt: skip
    text = "Kept. Engine {serial} has run {running} in {drives}"
    if summed.distance is None:
        return Said(text + "; no distance was shown.", values)
    values["distance"] = Quantity(summed.distance, Kind.DISTANCE)
    text += " over {distance}"
    if summed.without_distance:
        blind = summed.without_distance
        values["blind"] = "1 drive shows" if blind == 1 else f"{blind} drives show"
        text += "; {blind} no distance"
    return Said(text + ".", values)
