"""Knock: ignition taken back under load, how far, where, and whether it comes again there."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import every, found, is_stuck, load_width, overrun
from witnessmark.checks.terms import count, revolutions, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Mask, Span
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity

CHANNEL = "knock_retard"
CHECK, TITLE = "fuelling.knock", "Knock retard under load"
_SAME = 1e-9  # rad: 1 ° written as 0.01745 is still one degree


@dataclass(frozen=True)
class Knock:
    """One retard under load. SI; `cell` is (speed, load), whole multiples of a cell's width."""

    span: Span
    most: float
    speed: float
    load: float
    cell: tuple[int, int]


def knock_retard(case: Case) -> Iterator[Finding]:
    """Ignition is not taken back for knock under load: not far, and not twice in one place."""
    if CHANNEL not in case.log:
        fit = "Log knock retard, 25 readings a second or more."
        yield case.missing(CHECK, TITLE, "knock", needs=CHANNEL, fit=fit)
        return
    values = case.log[CHANNEL]
    doubt = _doubt(case, values)
    if doubt is not None:
        said, advice = doubt
        limit = case.terms.limits["knock_ask"]
        yield found(case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, limit, do_next=advice)
        return
    sign, convention = _convention(values[case.running & ~np.isnan(values)])
    knocks, elsewhere = _knocks(case, sign * values)
    yield _judge(case, knocks, elsewhere, convention)


def _doubt(case: Case, values: Floats) -> tuple[Said, Said] | None:
    """Why this channel cannot be judged at all; None if it can."""
    shown = values[case.running & ~np.isnan(values)]
    if not len(shown):
        return Said("Never read while the engine ran."), Said("Log it on the drive.")
    if is_stuck(values, case.running) and shown[0] != 0:
        said = Said("It stands at {at} all through: stuck, or not the retard.",
                    {"at": Quantity(float(shown[0]), Kind.ANGLE)})  # fmt: skip
        return said, Said("Tap the block near the sensor and see whether the channel answers.")
    ask = case.terms["knock_ask"]
    if shown.max() >= ask and shown.min() <= -ask:
        numbers = {"low": Quantity(float(shown.min()), Kind.ANGLE),
                   "high": Quantity(float(shown.max()), Kind.ANGLE)}  # fmt: skip
        said = Said("It runs from {low} to {high}: which sign takes ignition back is not known.",
                    numbers)  # fmt: skip
        return said, Said("Log the retard alone, without what is added to the ignition.")
    if case.loaded is None:
        return Said("The log shows no load, so knock cannot be told from noise."), Said(
            "Log manifold pressure.")  # fmt: skip
    return None


def _convention(shown: Floats) -> tuple[int, str]:
    """Which sign means retard, and how to say so."""
    if shown.max() > -shown.min():
        return 1, "Positive taken as retard."
    return (-1, "Negative taken as retard.") if shown.min() < 0 else (1, "")


def _knocks(case: Case, retard: Floats) -> tuple[list[Knock], int]:
    """Retards that began under load, and how many others there were."""
    assert case.load is not None and case.loaded is not None
    log, least = case.log, case.terms["knock_ask"] - _SAME
    spans = _joined(log.spans(case.running & (retard >= least)), case.terms["knock_apart"])
    work: Mask = case.loaded & ~overrun(case)
    knocks, elsewhere = [], 0
    for span in spans:
        part = log.at(span)
        first = part.start
        if not work[first] or _changing_gear(case, first):
            elsewhere += 1
            continue
        speed, load = float(log["engine_speed"][first]), float(case.load.values[first])
        cell = (int(speed / case.terms["cell_speed"] + 1e-6), int(load / load_width(case) + 1e-6))
        knocks.append(Knock(span, float(np.nanmax(retard[part])), speed, load, cell))
    return knocks, elsewhere


def _joined(spans: list[Span], apart: float) -> list[Span]:
    """Spans closer together than so many seconds as one."""
    joined: list[Span] = []
    for span in spans:
        if joined and span.start - joined[-1].end < apart:
            joined[-1] = Span(joined[-1].start, span.end)
        else:
            joined.append(span)
    return joined


def _changing_gear(case: Case, at: int) -> bool:
    """Whether engine speed drops around a sample as only a clutch lets it."""
    time, window = case.log.time, case.terms["clutch_window"]
    first = int(np.searchsorted(time, time[at] - window))
    last = min(int(np.searchsorted(time, time[at] + window)), len(time) - 1)
    speed = case.log["engine_speed"]
    for low, high in ((first, at), (at, last)):
        lasted = time[high] - time[low]
        if lasted > 0 and (speed[low] - speed[high]) / lasted > case.terms["clutch_fall"]:
            return True
    return False


def _judge(case: Case, knocks: list[Knock], elsewhere: int, convention: str) -> Finding:
    ask, stop = case.terms.limits["knock_ask"], case.terms.limits["knock_stop"]
    cells = [knock.cell for knock in knocks]
    again = sorted({cell for cell in cells if cells.count(cell) > 1})
    hard = [k for k in knocks if k.most >= stop.value.value - _SAME]
    off = f" {elsewhere} more off load or in a gear change, not counted." if elsewhere else ""
    tail = f"{off} {convention}" if convention else off
    if not knocks:
        answer, said, quiet = _quiet(case, tail)
        return found(case, CHECK, TITLE, (CHANNEL,), answer, said, ask, do_next=quiet)
    worst = max(knocks, key=lambda knock: knock.most)
    numbers: Values = {
        "times": _times(len(knocks)), "most": _angle(worst.most),
        "speed": revolutions(worst.speed), "load": _load(case, worst.load),
        "cells": count(len(again)), "stop": stop.value,
    }  # fmt: skip
    broken = bool(hard or again)
    text = f"Ignition taken back {{times}}, most {{most}} at {{speed}} and {{load}}.{tail}"
    if again:
        text = f"{text} More than once in the same place: that is knock, not noise."
    advice = Said("Ask the tuner about this moment, and look at it again in the next log.")
    if broken:
        advice = Said("Stop. Less load and no boost until the tuner has seen it: fuel, timing, "
                      "charge heat, plugs.")  # fmt: skip
    events = tuple(
        Event(k.span, Said("{most} at {speed} and {load}",
              {"most": _angle(k.most), "speed": revolutions(k.speed),
               "load": _load(case, k.load)}))
        for k in knocks
    )  # fmt: skip
    answer = Answer.TOO_LITTLE if _slow(case) else Answer.KEPT
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.BROKEN if broken else answer,
        Said(text, numbers), stop if broken else ask, do_next=advice, events=events,
    )  # fmt: skip


def _slow(case: Case) -> bool:
    """Whether the channel was read too seldom to show every knock."""
    # Clocks of loggers wander by a few per cent.
    return every(case, CHANNEL) > case.terms["log_rate_for_knock"] * 1.05


def _quiet(case: Case, tail: str) -> tuple[Answer, Said, Said | None]:
    """No retard seen: kept only if the log was quick enough to see one, under load."""
    loaded = case.loaded
    assert loaded is not None
    seen = case.log.total(loaded & ~np.isnan(case.log[CHANNEL]))
    step, wanted = every(case, CHANNEL), case.terms.limits["log_rate_for_knock"]
    numbers: Values = {"step": _milliseconds(step), "wanted": _milliseconds(wanted.value.value)}
    if seen < case.terms["load_spell"]:
        said = Said(f"No retard seen, but the engine was hardly loaded.{tail}")
        return Answer.TOO_LITTLE, said, Said("Log pulls under load.")
    if _slow(case):
        said = Said(f"None seen; read every {{step}}, {{wanted}} or less is needed.{tail}", numbers)
        return Answer.TOO_LITTLE, said, Said("Log knock retard every {wanted}.", numbers)
    if seen < case.terms["shown_share"] * case.log.total(loaded):
        said = Said(f"None seen, but the channel has gaps under load.{tail}")
        return Answer.TOO_LITTLE, said, Said("Log it all the time.")
    said = Said(f"None under load in {{seen}}.{tail}", {"seen": seconds(seen)})
    return Answer.KEPT, said, None


def _milliseconds(value: float) -> str:
    return f"{value * 1000:.0f} ms" if value < 1 else f"{value:.1f} s"


def _load(case: Case, value: float) -> Quantity:
    assert case.load is not None
    return Quantity(value, case.load.kind)


def _angle(value: float) -> Quantity:
    return Quantity(value, Kind.ANGLE)


def _times(number: int) -> str:
    return "once" if number == 1 else f"{number} times"
