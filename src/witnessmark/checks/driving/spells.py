"""No long spell of one thing: steady cruise, idling, lugging."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.driving.load import is_lugged
from witnessmark.checks.terms import revolutions, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Span
from witnessmark.model.plan import Limit
from witnessmark.model.said import Said, Values
from witnessmark.physics.resample import step_means
from witnessmark.physics.windows import earliest_starts, longest_runs


def steady_cruise(case: Case) -> Iterator[Finding]:
    """Speed and load keep changing: both stay inside a narrow band only briefly."""
    limit = case.terms.phase.ceilings.get("steady_cruise")
    if limit is None:
        return
    if not case.moving.any():
        said, do_next = Said("There is no driving in this log."), Said("Log a drive.")
        yield Finding(
            "cruise.steady", "Steady cruise", Answer.TOO_LITTLE, said, True, limit.authority,
            do_next=do_next,
        )  # fmt: skip
        return
    numbers: Values = {
        "band": case.terms.limits["cruise_speed_band"].value,
        "load": "" if case.load is None else f" with {case.load.title} steady",
    }
    looked_at = [] if case.load is None else [case.load.values]
    looked_at += [case.log["road_speed"]] if "road_speed" in case.log else []
    spans = _steady_spans(case)
    listed = [span for span in spans if span.length >= case.terms["spell_listed"]]
    found = _longest(
        "cruise.steady", "Steady cruise", spans, limit, case.shows(*looked_at),
        Said("engine speed within ±{band}{load}", numbers),
        Said("Change speed and gear at least every {ceiling}; keep off the motorway.",
             {"ceiling": limit.value}),
    )  # fmt: skip
    yield replace(
        found, said=_with_spells(case, found.said, listed),
        events=tuple(_steady_event(case, span, limit) for span in listed),
    )  # fmt: skip


def _with_spells(case: Case, said: Said, listed: list[Span]) -> Said:
    """The sentence with how many spells there were, and how long they come to."""
    if not listed:
        return said
    return Said(said.text + " {spells} of {least} or more, {whole} in all.", {
        **said.values, "least": case.terms.limits["spell_listed"].value,
        "spells": "1 spell" if len(listed) == 1 else f"{len(listed)} spells",
        "whole": seconds(sum(span.length for span in listed)),
    })  # fmt: skip


def _steady_event(case: Case, span: Span, limit: Limit) -> Event:
    """One spell: at which engine speed and in which gear."""
    speed = float(np.nanmedian(case.log.during(span, case.log["engine_speed"])))
    gear, values = case.gears.said(case.gears.during(span))
    said = Said("steady near {speed}" + gear, {**values, "speed": revolutions(speed)})
    return Event(span, said, broke=span.length > limit.value.value)


def idle_spell(case: Case) -> Iterator[Finding]:
    """The engine does not idle for long."""
    limit = case.terms.phase.ceilings.get("idle_spell")
    if limit is None:
        return
    idle = case.running & (case.log["engine_speed"] < case.terms["idle_top"])
    yield _longest(
        "idle.spell", "Idling", _by_length(case.log.spans(idle & ~case.moving)), limit,
        case.shows(),
        Said("standing at idle"),
        Said("Shut it off rather than let it idle over {ceiling}.", {"ceiling": limit.value}),
    )  # fmt: skip


def lugging(case: Case) -> Iterator[Finding]:
    """The engine is not loaded hard at low speed."""
    limit = case.terms.phase.ceilings.get("lugging")
    if limit is None:
        return
    if case.load is None:
        yield case.missing(
            "load.lugging", "Lugging", "how hard the engine worked", needs="load",
            fit="Log manifold pressure, calculated load or the pedal.",
        )  # fmt: skip
        return
    slow = case.running & (case.log["engine_speed"] < case.terms["lug_speed"])
    spans = _by_length(case.log.spans(slow & is_lugged(case.load, case.terms)))
    numbers: Values = {"speed": case.terms.limits["lug_speed"].value, "by": case.load.title}
    yield _longest(
        "load.lugging", "Lugging", spans, limit, case.shows(case.load.values),
        Said("hard load under {speed}, by {by}", numbers),
        Said("Change down before you press on."),
    )  # fmt: skip


def _longest(
    check: str, title: str, spans: list[Span], limit: Limit, shown: bool, what: Said, advice: Said
) -> Finding:
    """By the longest of some spells; they come longest first.

    `shown`: whether the channels looked at have few enough gaps for "kept".
    """
    over = [span for span in spans if span.length > limit.value.value]
    numbers: Values = {
        **what.values,
        "longest": seconds(spans[0].length if spans else 0.0),
        "ceiling": limit.value,
    }
    text = "Longest {longest}, ceiling {ceiling}: " + what.text + "."
    answer, do_next = (Answer.BROKEN, advice) if over else (Answer.KEPT, None)
    if not over and not shown:
        text += " The log has gaps in which more may have happened."
        answer, do_next = Answer.TOO_LITTLE, Said("Log every channel for the whole drive.")
    events = tuple(Event(span, what) for span in over)
    said = Said(text, numbers)
    return Finding(check, title, answer, said, True, limit.authority, events, do_next)


def _by_length(spans: list[Span]) -> list[Span]:
    return sorted(spans, key=lambda span: -span.length)


def _steady_spans(case: Case) -> list[Span]:
    """Spells with speed and load inside their bands while the car moves, longest first."""
    step = case.terms["steady_window"]
    starts = earliest_starts(
        _in_steps(case, case.log["engine_speed"], step), 2 * case.terms["cruise_speed_band"]
    )
    if case.load is not None:
        pressure = case.load.channel == "manifold_pressure"
        band = case.terms["cruise_pressure_band" if pressure else "cruise_load_band"]
        steady = earliest_starts(_in_steps(case, case.load.values, step), 2 * band)
        starts = np.maximum(starts, steady)
    begin = float(case.log.time[0])
    return [
        Span(begin + first * step, begin + (last + 1) * step)
        for first, last in longest_runs(starts, at_least=2)
    ]


def _in_steps(case: Case, values: Floats, step: float) -> Floats:
    return step_means(case.log.time, case.log.held, values, case.moving, step)
