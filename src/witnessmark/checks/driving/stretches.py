"""Stretches of one throttle state and one gear, and how engine speed went in them."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from witnessmark.checks.terms import revolutions, seconds
from witnessmark.model.finding import Event
from witnessmark.model.log import Floats, Mask, Span
from witnessmark.model.said import Said

if TYPE_CHECKING:
    from witnessmark.checks.case import Case

_LOOK = 64  # samples looked at first: out of gear the ratio is off at once


@dataclass(frozen=True)
class Stretch:
    """A stretch of one throttle state: how engine speed went, and whether it counts."""

    span: Span
    start: float  # rev/s
    change: float  # rev/s, positive in the wanted direction
    warm: bool

    def event(self, case: "Case", grade: str = "") -> Event:
        """The stretch as a moment to look at, with its gear and its grade."""
        gear, values = case.gears.said(case.gears.during(self.span))
        text = "{change} in {length}, from {start}" + gear + (f": {grade}" if grade else "")
        return Event(self.span, Said(text, {
            **values, "change": revolutions(self.change), "length": seconds(self.span.length),
            "start": revolutions(self.start),
        }))  # fmt: skip


def stretches(case: "Case", state: Mask, *, up: bool) -> list[Stretch]:
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


def _stretch(case: "Case", first: int, last: int) -> Stretch:
    log = case.log
    span = Span(float(log.time[first]), float(log.time[last] + log.held[last]))
    start, end = float(log["engine_speed"][first]), float(log["engine_speed"][last])
    warm = case.warm is None or bool(case.warm[first])
    return Stretch(span, start, abs(end - start), warm)


def _in_one_gear(case: "Case", part: slice) -> Iterator[tuple[int, int]]:
    """First and last sample of each stretch in which engine and car went together."""
    if "road_speed" in case.log:
        return _by_ratio(case, part)
    return _by_rate(case, part)


def _by_ratio(case: "Case", part: slice) -> Iterator[tuple[int, int]]:
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


def _by_rate(case: "Case", part: slice) -> Iterator[tuple[int, int]]:
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


def good_pulls(case: "Case", worked: Mask) -> list[Stretch]:
    """Warm pulls under load that rose far and long enough."""
    rise, least = case.terms["pull_rise"], case.terms["pull_time"]
    pulls = stretches(case, worked, up=True)
    return [p for p in pulls if p.change >= rise and p.span.length >= least and p.warm]
