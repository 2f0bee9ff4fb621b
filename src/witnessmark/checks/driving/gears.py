"""Which gear the car was driven in, told by how engine and road speed went together."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from witnessmark.checks.coarse import Coarse
from witnessmark.checks.terms import Terms
from witnessmark.model.log import Floats, Log, Mask, Span
from witnessmark.model.said import Values
from witnessmark.physics.gearing import ratio_clusters
from witnessmark.units import Kind, Quantity

Gear = NDArray[np.int8]
NAMES = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
         "tenth")  # fmt: skip


class Out(IntEnum):
    """Why a sample is in no gear."""

    STANDING = -1  # the car stands, or engine or road speed is not shown
    CHANGING = -2  # between two gears, for a moment
    COASTING = -3  # engine at idle or throttle shut while the car rolls on: clutch down or neutral
    SLIPPING = -4  # the engine runs ahead of the car: pulling away, or a converter


@dataclass(frozen=True)
class GearTime:
    """One gear as it was driven. `turns` of the engine for each metre of road. [1/m]"""

    name: str  # "third" by the sheet's gearing, "" where only the ratio is known
    turns: float
    seconds: float
    distance: float  # m


@dataclass(frozen=True)
class Gears:
    """The gears of a drive, lowest first, and which one when.

    `gear` : index into `used`, else an `Out`, from each of `time` on; empty where gears cannot be
    told. `out` : seconds by `Out`.
    `why` : where `used` is empty, why gears cannot be told; else how they were named.
    `named_at` : the road speed at which a gear without a name is told by its engine speed. [m/s]
    """

    used: tuple[GearTime, ...]
    time: Floats
    gear: Gear
    out: dict[Out, float]
    why: str
    named_at: float

    def during(self, span: Span) -> int | None:
        """The gear a stretch was mostly driven in; None where it cannot be told."""
        first = max(0, int(np.searchsorted(self.time, span.start, side="right")) - 1)
        last = int(np.searchsorted(self.time, span.end, side="left"))
        part = self.gear[first : max(last, first + 1)]
        if not self.used or not len(part):
            return None
        time = np.bincount(np.maximum(part, -1) + 1, minlength=len(self.used) + 1)
        most = int(time.argmax()) - 1
        return most if most >= 0 and 2 * time[most + 1] > len(part) else None

    def said(self, number: int | None) -> tuple[str, Values]:
        """ " in third", or by its engine speed at a round road speed; "" where not told."""
        if number is None:
            return "", {}
        used = self.used[number]
        if used.name:
            return f" in {used.name}", {}
        return " in the gear of {gear_engine} at {gear_road}", {
            "gear_engine": Quantity(used.turns * self.named_at, Kind.ROTATIONAL_SPEED),
            "gear_road": Quantity(self.named_at, Kind.ROAD_SPEED),
        }


def tell_gears(log: Log, terms: Terms, running: Mask, shut: Mask | None) -> Gears:
    """The gears of a log. `shut`: where the throttle is shut, None where not shown."""
    nothing = np.empty(0), np.empty(0, dtype=np.int8)
    named_at = terms["gear_named_at"]
    if "road_speed" not in log:
        return Gears((), *nothing, {}, "the log shows no road speed", named_at)
    trace = _trace(log, running, shut)
    rolling = trace.running & (trace.road > terms["moving_speed"])
    fast = rolling & (trace.road > terms["gear_speed"])
    whole = float(trace.held[fast].sum())
    if whole < terms["gear_time"]:
        return Gears((), *nothing, {}, "too little of it was driven", named_at)
    ratio = np.divide(trace.speed, trace.road, out=np.zeros_like(trace.speed), where=rolling)
    width = terms["gear_slip"] / 2
    turns = ratio_clusters(
        ratio[fast], trace.held[fast], width, terms["gear_step"], terms["gear_time"]
    )
    near = _nearest(ratio, trace.road, turns, width)
    if float(trace.held[fast & (near >= 0)].sum()) < terms["gear_told"] * whole:
        why = (
            "engine and road speed do not keep to a few ratios, as with a converter or a belt "
            "drive, or where road speed comes late"
        )
        return Gears((), *nothing, {}, why, named_at)
    gear = np.where(rolling, near, np.int8(Out.STANDING))
    _why_out(trace, terms, gear, rolling & (near < 0))
    names, why = _names(turns, terms)
    used = tuple(
        _time(trace, gear == i, name, float(t))
        for i, (t, name) in enumerate(zip(turns, names, strict=True))
    )
    out = {reason: float(trace.held[gear == reason].sum()) for reason in Out}
    return Gears(used, trace.time, gear, out, why, named_at)


@dataclass(frozen=True)
class _Trace:
    """A log as far as gears need it: a very long one in fewer samples. Shape (m,)."""

    time: Floats
    held: Floats
    speed: Floats
    road: Floats
    running: Mask
    shut: Mask | None


def _trace(log: Log, running: Mask, shut: Mask | None) -> _Trace:
    coarse = Coarse(len(log.time))
    each = coarse.each
    return _Trace(
        coarse.first(log.time), coarse.total(log.held), coarse.first(log["engine_speed"]),
        coarse.first(log["road_speed"]), running[::each], None if shut is None else shut[::each],
    )  # fmt: skip


def _nearest(ratio: Floats, road: Floats, turns: Floats, width: float) -> Gear:
    """The gear whose ratio a sample keeps, -1 for none."""
    found = np.full(len(ratio), -1, dtype=np.int8)
    if not len(turns):
        return found
    # A road speed in whole km/h may lie half a step off, which is a lot at walking pace.
    slack = width + _step(road) / 2 / np.maximum(road, 1e-9)
    with np.errstate(invalid="ignore"):
        if len(turns) > 1:
            between = np.sqrt(turns[:-1] * turns[1:])[::-1]
            nearest = len(turns) - 1 - np.searchsorted(between, ratio)
        else:
            nearest = np.zeros(len(ratio), dtype=np.int64)
        kept = np.abs(ratio / turns[nearest] - 1) <= slack
    found[kept] = nearest[kept]
    return found


def _step(road: Floats) -> float:
    """Smallest step between two readings of road speed. [m/s]"""
    some = np.unique(road[: 1 << 16])
    steps = np.diff(some[~np.isnan(some)])
    steps = steps[steps > 1e-6]
    return float(steps.min()) if len(steps) else 0.0


def _why_out(trace: _Trace, terms: Terms, gear: Gear, off: Mask) -> None:
    """Put the reason into each rolling sample that keeps no gear's ratio."""
    idle = trace.speed < terms["idle_top"]
    free = idle if trace.shut is None else idle | trace.shut
    gear[off] = np.where(free[off], Out.COASTING, Out.SLIPPING)
    _freed(gear, trace.held, idle & (gear != Out.STANDING), off)
    turns = np.flatnonzero(np.diff(off, prepend=False, append=False))
    first, stop = turns[::2], turns[1::2]
    inside = (first > 0) & (stop < len(gear))
    first, stop = first[inside], stop[inside]
    brief = trace.time[stop] - trace.time[first] < terms["gear_change"]
    between = (gear[first - 1] >= 0) & (gear[stop] >= 0)
    # +1 where a change of gear begins and -1 where it ends: their running sum marks all inside.
    marks = np.zeros(len(gear) + 1, dtype=np.int8)
    marks[first[brief & between]] += 1
    marks[stop[brief & between]] -= 1
    gear[np.cumsum(marks[:-1], dtype=np.int8) > 0] = Out.CHANGING


def _freed(gear: Gear, held: Floats, idling: Mask, off: Mask) -> None:
    """A car that rolls out at idle passes the ratio of one gear after another, in none of them."""
    turns = np.flatnonzero(np.diff(idling, prepend=False, append=False))
    first, stop = turns[::2], turns[1::2]
    time, out = (np.concatenate([[0.0], np.cumsum(part)]) for part in (held, held * off))
    freed = 2 * (out[stop] - out[first]) > time[stop] - time[first]
    marks = np.zeros(len(gear) + 1, dtype=np.int8)
    marks[first[freed]], marks[stop[freed]] = 1, -1
    gear[np.cumsum(marks[:-1], dtype=np.int8) > 0] = Out.COASTING


def _names(turns: Floats, terms: Terms) -> tuple[list[str], str]:
    """Names by the sheet's gearing where all gears found fit it, and how."""
    nameless = [""] * len(turns)
    if not terms.facts.gears:
        return nameless, "told by ratio alone: the plan knows no gear ratios, final drive and tyre"
    sheet, found = np.log(np.array(terms.facts.gears)), np.log(turns)
    offsets = (found[:, None] - sheet[None, :]).ravel()
    offsets = offsets[np.abs(offsets) <= terms["gear_sheet"]]
    best, misses = 0.0, np.inf
    for offset in offsets.tolist():
        miss = float(np.abs(found[:, None] - offset - sheet[None, :]).min(axis=1).max())
        if miss < misses:
            best, misses = offset, miss
    if misses > terms["gear_slip"] / 2:
        return nameless, "the gears found do not fit the sheet's gears, final drive and tyre"
    placed = np.abs(found[:, None] - best - sheet[None, :]).argmin(axis=1)
    if len(set(placed.tolist())) < len(turns):
        return nameless, "two of the gears found fit the same gear of the sheet"
    more = np.expm1(best)
    why = f"named by the sheet's gearing; the engine turns {100 * abs(more):.0f} % "
    return [NAMES[i] for i in placed], why + ("more than it says" if more > 0 else "less")


def _time(trace: _Trace, where: Mask, name: str, turns: float) -> GearTime:
    held = trace.held[where]
    return GearTime(name, turns, float(held.sum()), float((trace.road[where] * held).sum()))
