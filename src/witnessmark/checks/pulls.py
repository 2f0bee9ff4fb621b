"""Pulls up under load and down on a shut throttle: what seats rings and clears their oil."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.terms import count, enough, revolutions, seconds
from witnessmark.model.finding import Event, Finding
from witnessmark.model.log import Mask, Span
from witnessmark.model.said import Said, Values
from witnessmark.units import Quantity


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
    pulls = _stretches(case, case.worked, up=True)
    rise, least = case.terms["pull_rise"], case.terms["pull_time"]
    good = [p for p in pulls if p.change >= rise and p.span.length >= least and p.warm]
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
        tuple(p.event for p in good),
    )  # fmt: skip


def overrun_pulls(case: Case) -> Iterator[Finding]:
    """The engine was driven down its speeds on a shut throttle, in gear."""
    wanted = case.terms.phase.evidence.get("overrun_pulls")
    if wanted is None:
        return
    if case.closed is None:
        yield case.missing(
            "work.overrun", "Engine braking", "when the throttle was shut", needs="load",
            fit="Log the pedal, the throttle or manifold pressure.",
        )  # fmt: skip
        return
    shut, by = case.closed
    pulls = _stretches(case, case.running & shut, up=False)
    start, fall, least = (case.terms[n] for n in ("overrun_from", "overrun_fall", "overrun_time"))
    tried = [p for p in pulls if p.start >= start]
    good = [p for p in tried if p.change >= fall and p.span.length >= least]
    numbers: Values = {
        "found": count(len(good)), "wanted": wanted.value, "by": by,
        "fall": case.terms.limits["overrun_fall"].value,
        "least": case.terms.limits["overrun_time"].value,
        "from": case.terms.limits["overrun_from"].value,
        "short": count(len(tried) - len(good)), "quality": _quality(case, good),
        "ceiling": _speed_ceiling(case), "more": count(max(0, wanted.value.value - len(good))),
    }  # fmt: skip
    yield enough(
        "work.overrun", "Engine braking", wanted, len(good),
        Said("{found} shut-throttle pulls in gear of {least} and {fall} or more, {wanted} wanted; "
             "{short} more were too short, too small or out of gear. {quality}By {by}.", numbers),
        Said("Drive {more} more: from just under {ceiling} lift right off in gear and let it "
             "pull down to {from}.", numbers),
        tuple(p.event for p in good),
    )  # fmt: skip


# Share of a change of engine speed after which the rest is a tail; common practice, no source.
_NEARLY_ALL = 0.95


@dataclass(frozen=True)
class Stretch:
    """A stretch of one throttle state: how engine speed went, and whether it counts."""

    span: Span
    start: float  # rev/s
    change: float  # rev/s, positive in the wanted direction
    warm: bool

    @property
    def event(self) -> Event:
        """The stretch as a moment to look at."""
        return Event(
            self.span,
            Said("{change} in {length}, from {start}", {
                "change": revolutions(self.change), "length": seconds(self.span.length),
                "start": revolutions(self.start),
            }),
        )  # fmt: skip


def _stretches(case: Case, state: Mask, *, up: bool) -> list[Stretch]:
    """Stretches of a throttle state, each cut to the part in which engine speed rose (or fell)."""
    shortest = case.terms["pull_time" if up else "overrun_time"] / 2
    found = []
    for whole in case.log.spans(state, at_least=shortest):
        part = case.log.at(whole)
        speed = case.log["engine_speed"][part] * (1 if up else -1)
        if len(speed) < 2 or np.isnan(speed).any():
            continue
        # What is left when nearly all of the change is done is a tail at idle, not a pull.
        low = int(speed[: int(speed.argmax()) + 1].argmin())
        done = speed[low] + _NEARLY_ALL * (speed.max() - speed[low])
        top = low + int(np.argmax(speed[low:] >= done))
        first, last = part.start + low, part.start + top
        last = first + _while_in_gear(case, first, last)
        found.append(_stretch(case, first, last))
    return found


def _stretch(case: Case, first: int, last: int) -> Stretch:
    log = case.log
    span = Span(float(log.time[first]), float(log.time[last] + log.held[last]))
    start, end = float(log["engine_speed"][first]), float(log["engine_speed"][last])
    warm = case.warm is None or bool(case.warm[first])
    return Stretch(span, start, abs(end - start), warm)


def _while_in_gear(case: Case, first: int, last: int) -> int:
    """Samples from the first for which the engine and the car went together.

    With a road speed: while their ratio stays near where it began. Without one: all of them, or
    none if the engine changed faster than a car can.
    """
    speed = case.log["engine_speed"][first : last + 1]
    if "road_speed" not in case.log:
        length = float(case.log.time[last] - case.log.time[first])
        slow = length > 0 and abs(float(speed[-1] - speed[0])) / length < case.terms["clutch_fall"]
        return last - first if slow else 0
    road = case.log["road_speed"][first : last + 1]
    since = case.log.time[first : last + 1] - case.log.time[first]
    rolling = road > case.terms["moving_speed"]
    ratio = np.divide(speed, road, out=np.zeros_like(speed), where=rolling)
    # Polled channels lag each other: the ratio is taken over the first moments, not one sample.
    begin = float(np.median(ratio[since <= case.terms["overrun_time"] / 2]))
    slipping = ~rolling | (np.abs(ratio - begin) > case.terms["gear_slip"] * begin)
    gone = np.flatnonzero(slipping & (since > case.terms["overrun_time"] / 2))
    return int(gone[0]) - 1 if len(gone) else last - first


def _quality(case: Case, pulls: list[Stretch]) -> str:
    """How deep the good ones went into vacuum, where manifold pressure says."""
    if not pulls or "manifold_pressure" not in case.log:
        return ""
    limit = case.terms["overrun_pressure"]
    pressure = case.log["manifold_pressure"]
    deep = sum(float(np.nanmin(case.log.during(p.span, pressure))) < limit for p in pulls)
    return f"{deep} of {len(pulls)} reached deep vacuum. "


def _speed_ceiling(case: Case) -> Quantity | str:
    limit = case.terms.phase.ceilings.get("engine_speed")
    return limit.value if limit is not None else "the redline"
