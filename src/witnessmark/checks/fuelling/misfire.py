"""Misfires counted by the engine's computer, as a share of all firings."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import found
from witnessmark.checks.terms import count, fraction
from witnessmark.model.finding import Answer, Finding
from witnessmark.model.log import Floats
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity

CHANNEL = "misfire_count"
CHECK, TITLE = "fuelling.misfire", "Misfires"
_FALLS = 0.1  # share of the changes that are falls: a counter is reset now and then, no more


def misfires(case: Case) -> Iterator[Finding]:
    """Hardly a firing is missed."""
    if CHANNEL not in case.log:
        fit = "Log the misfire count, or read it from the engine's computer after the drive."
        yield case.missing(CHECK, TITLE, "misfires", needs=CHANNEL, fit=fit)
        return
    ask, stop = case.terms.limits["misfire_ask"], case.terms.limits["misfire_stop"]
    fresh = _readings(case)
    turned = float(np.nansum((case.log["engine_speed"] * case.log.held)[case.running]))
    firings = turned * case.terms.facts.cylinders / 2  # a four-stroke fires once in two turns
    if len(fresh) < 2 or turned <= 0:
        said = Said("Misfires were not read often enough to count.")
        advice = Said("Log the count for the whole drive.")
        yield found(case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, ask, do_next=advice)
        return
    missed, kind = _missed(fresh, CHANNEL in case.log.fresh)
    numbers: Values = {
        "missed": count(missed), "turns": count(round(turned)), "ask": ask.value, "kind": kind,
        "per": Quantity(1000 * missed / turned, Kind.RATIO),
        "share": _percent(missed / firings if firings else float("nan")),
    }  # fmt: skip
    text = "{missed} in {turns} turns, {per} in 1,000: {share} of firings. Read as {kind}."
    if not firings:
        said = Said("{missed} in {turns} turns, {per} in 1,000. Read as {kind}.", numbers)
        again = Said("Make the plan again, so that it knows the number of cylinders.")
        yield found(case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, ask, do_next=again)
        return
    share = missed / firings
    broken, asked = share > stop.value.value, share > ask.value.value
    text += " Up to {ask} is let pass." if asked else ""
    yield found(
        case, CHECK, TITLE, (CHANNEL,), Answer.BROKEN if broken else Answer.KEPT,
        Said(text, numbers), stop if broken else ask, do_next=_advice(broken, asked),
    )  # fmt: skip


def _advice(broken: bool, asked: bool) -> Said | None:
    if broken:
        return Said("Stop: plugs, coils, lash, injector of the cylinder that misses. Its bore is "
                    "being washed.")  # fmt: skip
    return Said("Find which cylinder: plug, coil, injector, lash.") if asked else None


def _readings(case: Case) -> Floats:
    """The readings while running, in order; held copies left out where the log tells them."""
    values = case.log[CHANNEL]
    where = case.running & ~np.isnan(values)
    if CHANNEL in case.log.fresh:
        where &= case.log.fresh[CHANNEL]
    return values[where]


def _missed(readings: Floats, fresh: bool) -> tuple[float, str]:
    """Misfires in all, and how the channel was read: as a running total or interval by interval.

    Interval by interval, a value that stays is counted once unless the log tells fresh readings
    from held ones: at least so many.
    """
    steps = np.diff(readings)
    rises, falls = steps[steps > 0], steps[steps < 0]
    if len(falls) <= _FALLS * max(len(rises) + len(falls), 1) or not len(rises):
        return float(rises.sum()), "a running total"
    changed = readings if fresh else readings[np.r_[True, steps != 0]]
    return float(changed.sum()), "counts by interval, at least"


def _percent(share: float) -> Quantity | str:
    """A share with the decimals that 1 % needs."""
    return f"{100 * share:.2f} %" if share < 0.1 else fraction(share)
