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
    if case.load is None or case.loaded is None:
        yield case.missing(
            "work.pulls", "Pulls under load", "how hard the engine worked", needs="load",
            fit="Log manifold pressure, calculated load or the pedal.",
        )  # fmt: skip
        return
    pulls = _stretches(case, case.loaded, up=True)
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
    tried = [p for p in pulls if p.start >= start and p.in_gear]
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
             "{short} too short or too small to count. {quality}By {by}.", numbers),
        Said("Drive {more} more: from just under {ceiling} lift right off in gear and let it "
             "pull down to {from}.", numbers),
        tuple(p.event for p in good),
    )  # fmt: skip


@dataclass(frozen=True)
class Stretch:
    """A stretch of one throttle state: how engine speed went, and whether it counts."""

    span: Span
    start: float  # rev/s
    change: float  # rev/s, positive in the wanted direction
    warm: bool
    in_gear: bool

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
    """Stretches of a throttle state, each cut to its rise (or fall) of engine speed."""
    speed, found = case.log["engine_speed"], []
    for whole in case.log.spans(state):
        samples = case.log.at(whole)
        part = speed[samples] if up else -speed[samples]
        if len(part) < 2 or np.isnan(part).any():
            continue
        top = int(part.argmax())
        low = int(part[: top + 1].argmin())
        first, last = samples.start + low, samples.start + top
        end = float(case.log.time[last] + case.log.held[last])
        warm = case.warm is None or bool(case.warm[first])
        found.append(
            Stretch(
                Span(float(case.log.time[first]), end), abs(float(part[low])),
                float(part[top] - part[low]), warm, _in_gear(case, first, last),
            )
        )  # fmt: skip
    return found


def _in_gear(case: Case, first: int, last: int) -> bool:
    """Whether engine and road speed fell together; without a road speed, that it fell slowly."""
    speed = case.log["engine_speed"][first : last + 1]
    if "road_speed" in case.log:
        road = case.log["road_speed"][first : last + 1]
        if not (road > case.terms["moving_speed"]).all():
            return False
        ratio = speed / road
        middle = float(np.median(ratio))
        return bool(np.mean(np.abs(ratio / middle - 1)) < case.terms["gear_slip"])
    length = float(case.log.time[last] - case.log.time[first])
    return length > 0 and abs(float(speed[-1] - speed[0])) / length < case.terms["clutch_fall"]


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
