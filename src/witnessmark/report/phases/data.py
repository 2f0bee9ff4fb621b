"""A first heat as data: every number in SI beside the sentence it stands in."""

import json
import math
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.jobs.first_heat import FirstHeat
from witnessmark.model.first_heat import Burst, Found, Hold, Run, Stay, StepFound, Sweep
from witnessmark.model.log import Span
from witnessmark.model.said import Said
from witnessmark.report.phases.view import remarks, step_name, summary
from witnessmark.report.verdict.data import verdict_json, verdict_schema
from witnessmark.units import SI, Preferences, Quantity

FORMAT = "witnessmark-phases/1"


@cache
def phases_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) that `phases_json` keeps to, the verdict's own inside."""
    path = files("witnessmark.report.phases") / "phases.schema.json"
    schema: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    schema["$defs"]["verdict"] = {**verdict_schema(), "$id": "urn:witnessmark:verdict"}
    return schema


def phases_json(found: FirstHeat, prefer: Preferences | None = None) -> dict[str, Any]:
    """A first heat as a dict fit for JSON (no NaN, no infinity).

    Sentences are in the reader's units (`prefer`, the plan's own if None); numbers are SI.
    """
    chosen = prefer or found.review.plan.prefer
    return {
        "format": FORMAT,
        "answer": found.review.verdict.answer.value,
        "headline": summary(found),
        "steps": [_step(n, step, chosen) for n, step in enumerate(found.steps, 1)],
        "remarks": list(remarks(found)),
        "interruptions": [
            {
                **_span(one.span), "how": one.how.value, "limit": one.what or None,
                "back": one.back,
            }
            for one in found.interruptions
        ],
        "found": _found(found.found),
        "verdict": verdict_json(found.review, chosen),
    }  # fmt: skip


def _step(number: int, found: StepFound, prefer: Preferences) -> dict[str, Any]:
    return {
        "number": number,
        "phase": found.phase.id,
        "doing": found.step.doing.value,
        "name": step_name(found.step),
        "planned": _said(found.step.line.said, prefer),
        "done": found.done.value,
        "said": _said(found.said, prefer),
        "do_next": None if found.do_next is None else _said(found.do_next, prefer),
        "spans": [_span(span) for span in found.spans],
    }


def _found(seen: Found) -> dict[str, Any]:
    return {
        "key_on": _span(seen.key_on) if seen.key_on else None,
        "cranking_shown": seen.cranking_shown,
        "bursts": [_burst(burst) for burst in seen.bursts],
        "runs": [_run(run) for run in seen.runs],
        "idles": [_span(span) for span in seen.idles],
        "holds": [_hold(place, hold) for place, hold in seen.holds.items()],
        "sweeps": [_sweep(place, one) for place, each in seen.sweeps.items() for one in each],
        "too_long_for_sweeps": seen.too_long,
    }


def _burst(burst: Burst) -> dict[str, Any]:
    return {**_span(burst.span), "fired": burst.fired, "highest_pressure": burst.pressure}


def _run(run: Run) -> dict[str, Any]:
    return {
        **_span(run.span), "start_shown": run.start_shown,
        "pressure_after": run.pressure_after, "ended": run.ended.value,
    }  # fmt: skip


def _hold(place: int, hold: Hold) -> dict[str, Any]:
    spans = [_span(span) for span in hold.spans]
    speeds = {"low": hold.low, "high": hold.high}
    return {"step_of_phase": place + 1, **speeds, "seconds": hold.seconds, "spans": spans}


def _sweep(place: int, sweep: Sweep) -> dict[str, Any]:
    return {
        "step_of_phase": place + 1,
        "ramp": sweep.ramp,
        "seconds": sweep.seconds,
        "spans": [_span(span) for span in sweep.spans],
        "passes": [
            {"rising": p.rising, "whole": p.whole, "stays": [_stay(s) for s in p.stays]}
            for p in sweep.passes
        ],
    }


def _stay(stay: Stay) -> dict[str, Any]:
    return {**_span(stay.span), "speed": stay.speed, "seconds": stay.seconds}


def _span(span: Span) -> dict[str, float]:
    return {"start": span.start, "end": span.end}


def _said(said: Said, prefer: Preferences) -> dict[str, Any]:
    return {
        "text": said.read(prefer),
        "values": {slot: _value(value) for slot, value in said.values.items()},
    }


def _value(value: Quantity | str) -> str | dict[str, Any]:
    if isinstance(value, str):
        return value
    number = value.value if math.isfinite(value.value) else None
    return {"value": number, "unit": SI[value.kind], "kind": value.kind.value}
