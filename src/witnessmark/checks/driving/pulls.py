"""Pulls up under load and down on a shut throttle: what seats rings and clears their oil."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.driving.stretches import Stretch, stretches
from witnessmark.checks.terms import count, enough
from witnessmark.model.finding import Finding
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity


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
    good = case.pulls
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
    pulls = stretches(case, case.running & shut, up=False)
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


def _for_each_pull(case: Case, overruns: int) -> tuple[str, Values]:
    """Engine-braking pulls for each pull under load, beside the aim; nothing without a pull."""
    pulls = len(case.pulls)
    if not pulls:
        return "", {}
    aim = case.terms.limits["overrun_ratio"]
    return "{each} for each pull under load, {aim} is the aim. ", {
        "each": Quantity(overruns / pulls, Kind.RATIO), "aim": aim.value,
    }  # fmt: skip


def _grade(case: Case, pull: Stretch) -> str:
    """ "full" or "part": how far the engine was pulled down, and into how deep a vacuum."""
    if pull.change < case.terms["overrun_full"]:
        return "part"
    deep = not case.throttled or _is_deep(case, pull)
    return "full" if deep else "part"


def _vacuum_words(case: Case) -> str:
    return " and deep vacuum" if case.throttled else " (this log shows no vacuum)"


def _is_deep(case: Case, pull: Stretch) -> bool:
    pressure = case.log.during(pull.span, case.log["manifold_pressure"])
    return bool(np.nanmin(pressure, initial=np.inf) < case.terms["overrun_pressure"])


def _quality(case: Case, pulls: list[Stretch]) -> str:
    """How deep the good ones went into vacuum, on a throttled engine whose log shows it."""
    if not pulls or not case.throttled:
        return ""
    deep = sum(_is_deep(case, p) for p in pulls)
    return f"{deep} of {len(pulls)} reached deep vacuum. "


def _speed_ceiling(case: Case) -> Quantity | str:
    limit = case.terms.phase.ceilings.get("engine_speed")
    return limit.value if limit is not None else "the redline"
