"""Dips of oil pressure in corners and under braking: the oil runs from the pick-up."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.coarse import Coarse
from witnessmark.checks.pressure.own_pressure import OIL
from witnessmark.checks.pressure.rule_of_thumb import CHANNEL
from witnessmark.checks.terms import count, fraction, gauge, revolutions, seconds
from witnessmark.model.expected_pressure import between
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Log, Mask, Span
from witnessmark.model.said import Said, Values
from witnessmark.physics.chance import chance_of_meeting
from witnessmark.physics.medians import medians
from witnessmark.physics.resample import step_means
from witnessmark.physics.road_load import GRAVITY
from witnessmark.physics.windows import trailing_lowest
from witnessmark.units import Kind, Quantity

CHECK, TITLE = "oil.dips", "Oil pressure in corners and under braking"
SIDEWAYS, FORE = "acceleration_lateral", "acceleration_longitudinal"
_FINE = 5, 2  # parts of a cell of speed, of oil: at hot idle pressure is steep in both
_BLOCK = 64  # samples looked at together before they are looked at one by one
_LEVELS = 128  # steps of pressure, finer than a dip by far
STOP = Said(
    "Oil level first, then the baffles and the pick-up. No hard corners or stops until it is found."
)


def dips_in_corners(case: Case) -> Iterator[Finding]:
    """Oil pressure does not fall when the car corners or brakes hard."""
    if CHANNEL not in case.log or case.terms.phase.place != "on the road":
        return  # the floor says once that there is no oil pressure; no corners on a dyno
    force = _force(case)
    if force is None:
        said = Said("This log shows neither acceleration nor road speed.")
        do_next = Said("Log sideways and fore-and-aft acceleration, ten times a second or more.")
        yield Finding(CHECK, TITLE, Answer.NOT_SHOWN, said, required=False, do_next=do_next)
        return
    apart = _between_readings(case)
    if apart > case.terms["log_rate_for_dips"] * (1 + 1e-6):
        yield _too_slow(case, apart)
        return
    yield _judge(case, force)


@dataclass(frozen=True)
class _Force:
    """What presses the oil aside: sideways and braking, never under 0. [m/s²] (n,)"""

    sideways: Floats | None
    braking: Floats | None
    why: str  # what is not shown

    def most(self, log: Log, span: Span) -> tuple[float, str]:
        """The greatest of a stretch, and which."""
        found = [
            (float(np.nanmax(log.during(span, values), initial=0.0)), name)
            for values, name in ((self.sideways, "sideways"), (self.braking, "braking"))
            if values is not None
        ]
        return max(found)

    def over(self, least: float) -> Mask:
        """Where either is greater."""
        shown = [values for values in (self.sideways, self.braking) if values is not None]
        return np.asarray(np.any([values >= least for values in shown], axis=0))


def _force(case: Case) -> _Force | None:
    log = case.log
    sideways = np.abs(_level_set(case, SIDEWAYS)) if SIDEWAYS in log else None
    braking = _braking(case)
    if sideways is None and braking is None:
        return None
    why = "" if sideways is not None else " Corners are not judged: no sideways acceleration."
    if FORE not in log and braking is not None:
        why += " Braking told by road speed."
    return _Force(sideways, braking, why)


def _level_set(case: Case, channel: str) -> Floats:
    """An acceleration less its usual value: a sensor seldom lies level. [m/s²] (n,)"""
    each = Coarse(len(case.log.time)).each
    usual = np.nanmedian(case.log[channel][::each][case.running[::each]])
    return np.asarray(case.log[channel] - usual)


def _braking(case: Case) -> Floats | None:
    log, each = case.log, Coarse(len(case.log.time)).each
    slowing = None
    if "road_speed" in log:
        time, window = log.time[::each], case.terms["clutch_window"]
        window = max(window, float(np.median(np.diff(time)))) if len(time) > 1 else window
        slowing = _slowing(time, log["road_speed"][::each], window)
    if FORE in log:
        forward = _level_set(case, FORE)
        # Some sensors are mounted the other way round: road speed tells.
        turned = slowing is not None and np.nansum(forward[::each] * slowing) > 0
        return np.maximum(forward if turned else -forward, 0.0)
    if slowing is None:
        return None
    return np.maximum(np.repeat(slowing, each)[: len(log.time)], 0.0)


def _slowing(time: Floats, road: Floats, window: float) -> Floats:
    """How fast the car loses speed, over a short window. [m/s²] (n,)"""
    before = np.searchsorted(time, time - window, side="left")
    lasted = np.maximum(time - time[before], window)
    return np.asarray((road[before] - road) / lasted)


def _between_readings(case: Case) -> float:
    """Usual time between two true readings of oil pressure. [s]"""
    return case.truth[CHANNEL].interval if CHANNEL in case.truth else float("inf")


def _too_slow(case: Case, apart: float) -> Finding:
    limit = case.terms.limits["dip_length"]
    numbers: Values = {
        "apart": seconds(apart), "long": limit.value, "wanted":
        case.terms.limits["log_rate_for_dips"].value,
        "caught": count(max(1, round(apart / limit.value.value))),
    }  # fmt: skip
    text = "Oil pressure was read every {apart}; a dip lasts about {long}. "
    text += (
        "This log would catch 1 in {caught} of them." if apart > limit.value.value
        else "One low reading is no proof of a dip."
    )  # fmt: skip
    return Finding(
        CHECK, TITLE, Answer.TOO_LITTLE, Said(text, numbers), False, limit.authority,
        do_next=Said("Log oil pressure every {wanted} or faster.", numbers),
    )  # fmt: skip


def _judge(case: Case, force: _Force) -> Finding:
    log, terms = case.log, case.terms
    level = _level(case)
    low = log[CHANNEL] < (1 - terms["dip_depth"]) * level
    dips = log.spans(low, at_least=terms["log_rate_for_dips"])
    hard = force.over(terms["dip_force"])
    reach = terms["dip_length"]
    with_it = [
        dip for dip in dips
        if hard[log.at(Span(dip.start - reach, dip.end))].any()
    ]  # fmt: skip
    who, depth = terms.limits["dip_depth"].authority, terms.limits["dip_depth"].value
    most, way = force.most(log, Span(float(log.time[0]), float(log.time[-1])))
    numbers: Values = {
        "dips": count(len(dips)), "with": count(len(with_it)), "depth": depth,
        "force": _g(terms["dip_force"]), "most": _g(most), "way": way,
        "least": terms.limits["dip_events"].value,
    }  # fmt: skip
    events = tuple(_event(log, dip, level, force, reach) for dip in with_it)
    if len(log.spans(hard)) < terms["dip_events"]:
        text = "The car was hardly cornered or braked: {most} g {way} at most. {dips} dips seen."
        answer, do_next = Answer.TOO_LITTLE, Said("Log some firm bends and stops, oil warm.")
        return Finding(
            CHECK, TITLE, answer, Said(text + force.why, numbers), False, who, events, do_next
        )
    chance = _chance(case, with_it, dips, hard, reach)
    numbers = {**numbers, "chance": Quantity(max(1.0, round(1 / chance)), Kind.COUNT)}
    text = (
        "{dips} dips of {depth} or more under its own level, {with} of them with {force} g or more"
    )
    if not with_it:
        text = "{dips} dips of {depth} or more under its own level, none with {force} g or more."
        share = case.share_shown(level)
        kept = share >= terms["shown_share"]
        if not kept:
            text += " That level is known for {share} of the running time only."
        answer = Answer.KEPT if kept else Answer.TOO_LITTLE
        said = Said(text + force.why, {**numbers, "share": fraction(share)})
        return Finding(CHECK, TITLE, answer, said, False, who)
    if len(with_it) >= terms["dip_events"] and chance <= terms["dip_chance"]:
        text += ": chance brings that in 1 of {chance} logs or fewer."
        return Finding(
            CHECK, TITLE, Answer.BROKEN, Said(text + force.why, numbers), False, who, events, STOP
        )
    text += ": too few to tell from chance."
    do_next = Said("Drive the same bends again with the oil level proved, and log it.")
    said = Said(text + force.why, numbers)
    return Finding(CHECK, TITLE, Answer.TOO_LITTLE, said, False, who, events, do_next)


@dataclass(frozen=True)
class _Usual:
    """The engine's own usual pressure by speed and warmth, both in cells. [Pa]

    Speed is the slowest of the time pressure takes to follow it; warmth is the oil's, or without
    an oil temperature the minute of the log. NaN where it was hardly read.
    """

    table: Floats
    speed: Floats
    warmth: Floats

    def at(self, speed: Floats, warmth: Floats) -> Floats:
        """Straight lines between the middles of the cells. [Pa]"""
        return np.asarray(between(self.table[None], (self.speed, self.warmth), speed, warmth)[0])

    def at_most(self, speed: Floats, warmth: Floats) -> Floats:
        """No less than `at` of any slower speed and any warmer oil. [Pa]"""
        most = np.fmax.accumulate(self.table, axis=0)
        most = np.fmax.accumulate(most[:, ::-1], axis=1)[:, ::-1]
        most = np.where(np.isnan(most), np.inf, most)
        i = np.searchsorted(self.speed, speed).clip(0, len(self.speed) - 1)
        j = (np.searchsorted(self.warmth, warmth, side="right") - 1).clip(0)
        return np.asarray(most[i, j])


def _level(case: Case) -> Floats:
    """Usual pressure at each sample's speed and oil, as far as it may have dipped. [Pa] (n,)

    Where even the highest that could be asked for leaves no dip, that is given: a long log is
    looked at closely only where it has to be.
    """
    log, terms = case.log, case.terms
    judged = case.settled("floor_delay")
    judged &= ~np.isnan(log[CHANNEL])
    usual = _learn(case, judged)
    level = np.full(len(judged), np.nan)
    if usual is None:
        return level
    blocks = np.arange(0, len(judged), _BLOCK)
    speed, warmth = (v for v in _keys(case))
    fastest, coldest = np.fmax.reduceat(speed, blocks), np.fmin.reduceat(warmth, blocks)
    most = usual.at_most(fastest, coldest)
    low = np.fmin.reduceat(log[CHANNEL], blocks) < (1 - terms["dip_depth"]) * most
    sizes = np.diff(blocks, append=len(judged))
    close = np.repeat(low, sizes) & judged
    level[judged & ~close] = np.repeat(most, sizes)[judged & ~close]
    # With the seconds before, in which the slowest speed is looked for.
    lead = np.repeat(low | _soon(low, log.time[blocks], terms["pressure_lag"]), sizes)
    slowest = trailing_lowest(log.time[lead], speed[lead], terms["pressure_lag"])[close[lead]]
    level[close] = usual.at(slowest, warmth[close])
    return level


def _soon(low: Mask, begins: Floats, lag: float) -> Mask:
    """Blocks that one of `low` follows within a lag."""
    after = np.searchsorted(begins, begins + lag, side="right")
    count = np.concatenate([[0], np.cumsum(low)])
    return np.asarray(count[np.minimum(after + 1, len(low))] > count[:-1])


def _keys(case: Case) -> tuple[Floats, Floats]:
    """Engine speed and warmth of each sample, in cells."""
    log, terms = case.log, case.terms
    speed = log["engine_speed"] / (terms["cell_speed"] / _FINE[0])
    if OIL in log:
        return speed, log[OIL] / (terms["cell_oil"] / _FINE[1])
    return speed, log.time / -terms["variety_window"]


def _learn(case: Case, judged: Mask) -> _Usual | None:
    """Usual pressure of the whole log; None where it shows none."""
    log, terms = case.log, case.terms
    coarse = Coarse(len(log.time))
    speed, warmth = (coarse.first(values) for values in _keys(case))
    speed = trailing_lowest(coarse.first(log.time), speed, terms["pressure_lag"])
    good = judged[:: coarse.each] & ~np.isnan(speed + warmth)
    if not good.any():
        return None
    return _usual(
        speed[good], warmth[good], coarse.first(log[CHANNEL])[good],
        coarse.total(log.held)[good], terms["cell_time"],
    )  # fmt: skip


def _usual(speed: Floats, warmth: Floats, pressure: Floats, held: Floats, least: float) -> _Usual:
    """Median pressure of unit cells of speed and warmth."""
    first = np.floor([speed.min(), warmth.min()]).astype(np.int64)
    places = [
        np.floor(values).astype(np.int64) - low
        for values, low in zip((speed, warmth), first.tolist(), strict=True)
    ]
    shape = tuple(int(place.max()) + 1 for place in places)
    cell = places[0] * shape[1] + places[1]
    found, time = medians(cell, pressure, held, shape[0] * shape[1], _LEVELS)
    table = np.where(time >= least, found, np.nan).reshape(shape)
    # Cells that were hardly read: from those around them. Beyond the fastest and the coldest too,
    # where pressure is higher still, so that nothing sound is called a dip.
    for line in (*table.T, *table[:, ::-1]):
        known = np.flatnonzero(~np.isnan(line))
        if len(known):
            line[known[0] :] = np.interp(np.arange(known[0], len(line)), known, line[known])
    centres = [np.arange(size) + low + 0.5 for size, low in zip(shape, first, strict=True)]
    for axis in (0, 1):  # a lone cell is its own neighbour
        if shape[axis] == 1:
            table, centres[axis] = np.repeat(table, 2, axis), centres[axis][0] + np.arange(2.0)
    return _Usual(table, centres[0], centres[1])


def _chance(
    case: Case, with_it: list[Span], dips: list[Span], hard: Mask, reach: float
) -> float:  # fmt: skip
    """How often as many dips would fall into corners if they had nothing to do with them."""
    if not with_it:
        return 1.0
    log, step = case.log, case.terms["log_rate_for_dips"]
    grid = step_means(log.time, log.held, hard.astype(np.float64), case.running, step)
    marks = np.zeros(len(grid), dtype=bool)
    start = float(log.time[0])
    marks[[min(int((dip.start - start) / step), len(grid) - 1) for dip in dips]] = True
    where = np.nan_to_num(grid) > 0
    wide = np.ones(2 * max(1, round(reach / step)) + 1)
    where = np.convolve(where.astype(np.float64), wide, "same") > 0
    return chance_of_meeting(marks, where, max(1, round(5 * reach / step)))[1]


def _event(log: Log, dip: Span, level: Floats, force: _Force, reach: float) -> Event:
    part = log.at(dip)
    short = log[CHANNEL][part] - level[part]
    worst = part.start + int(np.nanargmin(short))
    most, way = force.most(log, Span(dip.start - reach, dip.end))
    return Event(dip, Said("{shown} where {usual} is usual, at {speed} with {force} g {way}", {
        "shown": gauge(float(log[CHANNEL][worst])), "usual": gauge(float(level[worst])),
        "speed": revolutions(float(log["engine_speed"][worst])), "force": _g(most), "way": way,
    }))  # fmt: skip


def _g(acceleration: float) -> Quantity:
    """An acceleration in g, the trade's unit for cornering."""
    return Quantity(acceleration / GRAVITY, Kind.RATIO)
