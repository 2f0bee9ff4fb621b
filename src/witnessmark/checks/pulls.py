"""Pulls up under load and down on a shut throttle: what seats rings and clears their oil."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.terms import count, enough, revolutions, seconds
from witnessmark.model.finding import Event, Finding
from witnessmark.model.log import Floats, Mask, Span
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity

_LOOK = 64  # samples looked at first: out of gear the ratio is off at once


def load_pulls(case: Case) -> Iterator[Finding]:
    """The engine was pulled up through its speeds under load, warm."""
    wanted = case.terms.phase.evidence.get("pulls")
    if wanted is None:
        return
    if case.load is None or case.worked is None:
        yield case.missing(
            "work.pulls", "Pulls under load", "how hard the engine worked", needs="load",
            fit="Log manifold pressure, calculated load or the pedal.",
        )  # fmt: skip
        return
    good = _good_pulls(case, case.worked)
    numbers: Values = {
        "found": count(len(good)), "wanted": wanted.value, "by": case.load.title,
        "rise": case.terms.limits["pull_rise"].value,
        "least": case.terms.limits["pull_time"].value,
        "ceiling": _speed_ceiling(case), "more": count(max(0, wanted.value.value - len(good))),
    }  # fmt: skip
    yield enough(
        "work.pulls", "Pulls under load", wanted, len(good),
        Said("{found} warm pulls of {least} and {rise} or more, {wanted} wanted. By {by}.",
             numbers),
        Said("Drive {more} more pulls: a middle gear, steady part throttle, up towards {ceiling}.",
             numbers),
        tuple(p.event(case) for p in good),
    )  # fmt: skip


def overrun_pulls(case: Case) -> Iterator[Finding]:
    """The engine was driven down its speeds on a shut throttle, in gear."""
    wanted = case.terms.phase.evidence.get("overrun_pulls")
    if wanted is None:
        return
    if case.closed is None:
        yield case.missing(
            "work.overrun", "Engine braking",
            "when the throttle was shut: no pedal or throttle that moves, no manifold vacuum",
            needs="load", fit="Log the pedal, the throttle or manifold pressure.",
        )  # fmt: skip
        return
    shut, by = case.closed
    pulls = _stretches(case, case.running & shut, up=False)
    start, fall, least = (case.terms[n] for n in ("overrun_from", "overrun_fall", "overrun_time"))
    tried = [p for p in pulls if p.start >= start and p.change >= fall / 2]
    good = [p for p in tried if p.change >= fall and p.span.length >= least]
    grades = [_grade(case, p) for p in good]
    to_load, ratio_values = _for_each_pull(case, len(good))
    numbers: Values = {
        **ratio_values, "full": count(grades.count("full")), "part": count(grades.count("part")),
        "by_fall": case.terms.limits["overrun_full"].value,
        "found": count(len(good)), "wanted": wanted.value, "by": by,
        "fall": case.terms.limits["overrun_fall"].value,
        "least": case.terms.limits["overrun_time"].value,
        "from": case.terms.limits["overrun_from"].value,
        "short": count(len(tried) - len(good)), "quality": _quality(case, good),
        "ceiling": _speed_ceiling(case), "more": count(max(0, wanted.value.value - len(good))),
    }  # fmt: skip
    yield enough(
        "work.overrun", "Engine braking", wanted, len(good),
        Said("{found} shut-throttle pulls in gear of {least} and {fall} or more, {wanted} wanted: "
             "{full} full, {part} part; "
             "{short} more were too short, too small or out of gear. Full is {by_fall} or more"
             + _vacuum_words(case) + ". {quality}" + to_load + "By {by}.", numbers),
        Said("Drive {more} more: from just under {ceiling} lift right off in gear and let it "
             "pull down to {from}.", numbers),
        tuple(p.event(case, grade) for p, grade in zip(good, grades, strict=True)),
    )  # fmt: skip


def _good_pulls(case: Case, worked: Mask) -> "list[Stretch]":
    """Warm pulls under load that rose far and long enough."""
    rise, least = case.terms["pull_rise"], case.terms["pull_time"]
    pulls = _stretches(case, worked, up=True)
    return [p for p in pulls if p.change >= rise and p.span.length >= least and p.warm]


def _for_each_pull(case: Case, overruns: int) -> tuple[str, Values]:
    """Engine-braking pulls for each pull under load, beside the aim; nothing without a pull."""
    pulls = len(_good_pulls(case, case.worked)) if case.worked is not None else 0
    if not pulls:
        return "", {}
    aim = case.terms.limits["overrun_ratio"]
    return "{each} for each pull under load, {aim} is the aim. ", {
        "each": Quantity(overruns / pulls, Kind.RATIO), "aim": aim.value,
    }  # fmt: skip


def _grade(case: Case, pull: "Stretch") -> str:
    """ "full" or "part": how far the engine was pulled down, and into how deep a vacuum."""
    if pull.change < case.terms["overrun_full"]:
        return "part"
    deep = not case.throttled or _is_deep(case, pull)
    return "full" if deep else "part"


def _vacuum_words(case: Case) -> str:
    return " and deep vacuum" if case.throttled else " (this log shows no vacuum)"


def _is_deep(case: Case, pull: "Stretch") -> bool:
    pressure = case.log.during(pull.span, case.log["manifold_pressure"])
    return bool(np.nanmin(pressure, initial=np.inf) < case.terms["overrun_pressure"])


@dataclass(frozen=True)
class Stretch:
    """A stretch of one throttle state: how engine speed went, and whether it counts."""

    span: Span
    start: float  # rev/s
    change: float  # rev/s, positive in the wanted direction
    warm: bool

    def event(self, case: Case, grade: str = "") -> Event:
        """The stretch as a moment to look at, with its gear and its grade."""
        gear, values = case.gears.said(case.gears.during(self.span))
        text = "{change} in {length}, from {start}" + gear + (f": {grade}" if grade else "")
        return Event(self.span, Said(text, {
            **values, "change": revolutions(self.change), "length": seconds(self.span.length),
            "start": revolutions(self.start),
        }))  # fmt: skip


def _stretches(case: Case, state: Mask, *, up: bool) -> list[Stretch]:
    """Stretches of one throttle state and one gear, cut to where engine speed rose (or fell)."""
    shortest = case.terms["pull_time" if up else "overrun_time"] / 2
    found = []
    for whole in case.log.spans(state, at_least=shortest):
        for first, last in _in_one_gear(case, case.log.at(whole)):
            speed = case.log["engine_speed"][first : last + 1] * (1 if up else -1)
            if np.isnan(speed).any():
                continue
            top = int(speed.argmax())
            low = int(speed[: top + 1].argmin())
            found.append(_stretch(case, first + low, first + top))
    return found


def _stretch(case: Case, first: int, last: int) -> Stretch:
    log = case.log
    span = Span(float(log.time[first]), float(log.time[last] + log.held[last]))
    start, end = float(log["engine_speed"][first]), float(log["engine_speed"][last])
    warm = case.warm is None or bool(case.warm[first])
    return Stretch(span, start, abs(end - start), warm)


def _in_one_gear(case: Case, part: slice) -> Iterator[tuple[int, int]]:
    """First and last sample of each stretch in which engine and car went together."""
    if "road_speed" in case.log:
        return _by_ratio(case, part)
    return _by_rate(case, part)


def _by_ratio(case: Case, part: slice) -> Iterator[tuple[int, int]]:
    """Where engine speed over road speed stays near what it was when the stretch began."""
    speed, road = case.log["engine_speed"][part], case.log["road_speed"][part]
    rolling = road > case.terms["moving_speed"]
    ratio = np.divide(speed, road, out=np.zeros_like(speed), where=rolling)
    first = 0
    while first < len(ratio) - 1:
        gone = _gone(ratio[first:], case.terms["gear_slip"])
        if ratio[first] > 0 and gone > 1:
            yield part.start + first, part.start + first + gone - 1
        first += max(gone, 1)


def _gone(ratio: Floats, slip: float) -> int:
    """The first sample that is off the first one's ratio; all of them where none is."""
    start, reach = 0, _LOOK
    while start < len(ratio):
        slipping = np.abs(ratio[start : start + reach] - ratio[0]) > slip * ratio[0]
        at = int(slipping.argmax())
        if slipping[at]:
            return start + at
        start, reach = start + reach, 2 * reach
    return len(ratio)


def _by_rate(case: Case, part: slice) -> Iterator[tuple[int, int]]:
    """Without a road speed: where the engine changes no faster than a car lets it."""
    speed, time = case.log["engine_speed"][part], case.log.time[part]
    # Over a window, not from one sample to the next: a polled reading moves in steps.
    window = case.terms["clutch_window"]
    before = np.searchsorted(time, time - window, side="left")
    lasted = np.maximum(time - time[before], window)
    fast = np.abs(speed - speed[before]) / lasted > case.terms["clutch_fall"]
    edges = np.flatnonzero(np.diff(np.r_[True, fast, True]))
    for begin, end in zip(edges[::2], edges[1::2], strict=True):
        if end - begin > 1:
            yield part.start + int(begin), part.start + int(end) - 1


def _quality(case: Case, pulls: list[Stretch]) -> str:
    """How deep the good ones went into vacuum, on a throttled engine whose log shows it."""
    if not pulls or not case.throttled:
        return ""
    deep = sum(_is_deep(case, p) for p in pulls)
    return f"{deep} of {len(pulls)} reached deep vacuum. "


def _speed_ceiling(case: Case) -> Quantity | str:
    limit = case.terms.phase.ceilings.get("engine_speed")
    return limit.value if limit is not None else "the redline"
