"""Crankcase pressure: what leaks past the rings, and whether the breather takes it."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import found
from witnessmark.checks.terms import gauge, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Mask
from witnessmark.model.said import Said, Values

CHANNEL = "crankcase_pressure"
CHECK, TITLE = "fuelling.crankcase", "Crankcase pressure"


def crankcase_pressure(case: Case) -> Iterator[Finding]:
    """Off load the crankcase holds next to no pressure; under load it is told and compared."""
    if CHANNEL not in case.log:
        fit = "Fit and log a crankcase pressure sender, or feel at the dipstick."
        yield case.missing(CHECK, TITLE, "crankcase pressure", needs=CHANNEL, fit=fit)
        return
    limit = case.terms.limits["crankcase_most"]
    raw = case.log[CHANNEL]
    still = case.log["engine_speed"] <= case.terms["still_speed"]
    rest = raw[still & ~np.isnan(raw)]
    values = raw - float(np.median(rest)) if len(rest) else raw
    shown = case.running & ~np.isnan(values)
    if not shown.any():
        said = Said("Never read while the engine ran.")
        yield found(
            case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, limit,
            do_next=Said("Log it on the drive."),
        )  # fmt: skip
        return
    light = shown if case.worked is None else shown & ~case.worked
    spans = case.log.spans(light & (values > limit.value.value), at_least=case.terms["load_spell"])
    most = float(values[light].max()) if light.any() else float(values[shown].max())
    numbers: Values = {
        "most": gauge(most), "limit": limit.value,
        "length": seconds(sum(span.length for span in spans)),
        "trend": _trend(case, values, shown),
    }  # fmt: skip
    zero = "" if len(rest) else " Its zero was not seen with the engine stopped."
    if not spans:
        text = f"Most {{most}} off load, {{limit}} allowed.{zero} {{trend}}"
        answer = Answer.KEPT if case.shows(raw) else Answer.TOO_LITTLE
        advice = None if answer is Answer.KEPT else Said("Log it all the time.")
        yield found(
            case, CHECK, TITLE, (CHANNEL,), answer, Said(text, numbers), limit, do_next=advice
        )
        return
    text = f"Most {{most}} off load, over {{limit}} for {{length}}.{zero} {{trend}}"
    broken = len(rest) > 0
    advice = Said("Stop. Breather and its valve first, then a leak-down test of the rings."
                  if broken else "Key on, engine off: the sender should read nothing. Then look "
                  "at the breather.")  # fmt: skip
    events = tuple(
        Event(s, Said("{most}", {"most": gauge(float(np.nanmax(case.log.during(s, values))))}))
        for s in spans
    )
    yield found(
        case, CHECK, TITLE, (CHANNEL,), Answer.BROKEN if broken else Answer.TOO_LITTLE,
        Said(text, numbers), limit, do_next=advice, events=events if broken else (),
    )  # fmt: skip


def _trend(case: Case, values: Floats, shown: Mask) -> str:
    """First half of the work against the second: seating rings leak less as they go."""
    if case.worked is None:
        return ""
    at = np.flatnonzero(shown & case.worked)
    spent = np.cumsum(case.log.held[at])
    if not len(at) or spent[-1] < 2 * case.terms["cell_time"]:
        return ""
    cut = int(np.searchsorted(spent, spent[-1] / 2))
    if cut in (0, len(at)):
        return ""
    halves = [
        float(np.average(values[part], weights=case.log.held[part]))
        for part in (at[:cut], at[cut:])
    ]
    return "Under load {:.1f} kPa on average at first, {:.1f} kPa later.".format(
        *(half / 1e3 for half in halves)
    )
