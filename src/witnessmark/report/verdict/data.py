"""A verdict as data: every number in SI beside the sentence it stands in."""

import json
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.jobs.review import Review
from witnessmark.model.authority import Authority
from witnessmark.model.finding import Event, Finding, Tabled
from witnessmark.model.log import Log
from witnessmark.model.plan import RunPlan
from witnessmark.model.said import Said
from witnessmark.report.verdict.driving_data import (
    gears_data,
    load_map_data,
    number,
    pressure_map_data,
)
from witnessmark.report.verdict.passed import Odometer
from witnessmark.report.verdict.signals_data import questions_data, sensors_data
from witnessmark.report.verdict.view import headline, in_order
from witnessmark.units import SI, Preferences, Quantity

FORMAT = "witnessmark-verdict/1"


@cache
def verdict_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) that `verdict_json` keeps to."""
    path = files("witnessmark.report.verdict") / "verdict.schema.json"
    schema: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return schema


def verdict_json(review: Review, prefer: Preferences | None = None) -> dict[str, Any]:
    """The review as a dict fit for JSON (no NaN, no infinity).

    Sentences are in the reader's units (`prefer`, the plan's own if None); numbers are SI.
    """
    chosen, odometer = prefer or review.plan.prefer, Odometer(review.log)
    return {
        "format": FORMAT,
        "answer": review.verdict.answer.value,
        "headline": headline(review.verdict),
        "phase": {"id": review.phase.id, "title": review.phase.title},
        "plan": _plan(review.plan),
        "log": _log(review.log),
        "findings": [_finding(f, chosen, odometer) for f in in_order(review.verdict)],
        "questions": questions_data(review, lambda said: _said(said, chosen)),
        "sensors": sensors_data(review, lambda said: _said(said, chosen)),
        "load_map": None
        if review.load_map is None
        else load_map_data(review.load_map, review.coverage),
        "gears": None if review.gears is None else gears_data(review.gears),
        "pressure_map": None
        if review.pressure_map is None
        else pressure_map_data(review.pressure_map),
    }


def _plan(plan: RunPlan) -> dict[str, Any]:
    choice = plan.choice
    return {
        "serial": plan.serial,
        "engine": plan.engine,
        "build_sha256": plan.build_sha256,
        "recipe": {
            "name": choice.recipe,
            "title": choice.title,
            "version": choice.version,
            "sha256": choice.sha256,
            "owner": choice.owner,
            "school": choice.school,
            "school_why": choice.school_why,
        },
        "oil_pressure": {
            "basis": plan.band.basis if plan.band else "rule of thumb",
            "worked_out_by": _authority(plan.band.authority) if plan.band else None,
            "why_no_band": plan.no_band or None,
        },
    }


def _log(log: Log) -> dict[str, Any]:
    return {
        "name": log.source.name,
        "sha256": log.source.sha256,
        "bytes": log.source.size,
        "rows": log.source.rows,
        "started": log.started.isoformat() if log.started else None,
        "seconds": float(log.time[-1] + log.held[-1]) if len(log.time) else 0.0,
        "seconds_recorded": float(log.held.sum()),
        "columns": [
            {
                "name": c.name,
                "unit": c.unit,
                "channel": c.channel,
                "taken_unit": c.taken_unit,
                "how": c.how.value,
                "sure": c.sure.value if c.sure else None,
                "why": c.why,
                "shown": number(c.shown),
            }
            for c in log.columns
        ],
        "notes": [{"where": n.where, "said": n.said} for n in log.notes],
    }


def _finding(finding: Finding, prefer: Preferences, odometer: Odometer) -> dict[str, Any]:
    return {
        "check": finding.check,
        "title": finding.title,
        "answer": finding.answer.value,
        "required": finding.required,
        "asks": finding.asks,
        "said": _said(finding.said, prefer),
        "limit_set_by": _authority(finding.authority),
        "do_next": None if finding.do_next is None else _said(finding.do_next, prefer),
        "table": _table(finding.table, prefer),
        "events": [_event(e, prefer, odometer) for e in finding.events],
    }


def _event(event: Event, prefer: Preferences, odometer: Odometer) -> dict[str, Any]:
    passed = odometer.passed(event.span)
    return {
        "start": event.span.start,
        "end": event.span.end,
        "broke": event.broke,
        "said": _said(event.said, prefer),
        "metres": passed.distance,
        "revolutions": passed.revolutions,
        "metres_before": odometer.before(event.span.start),
    }


def _table(table: Tabled | None, prefer: Preferences) -> dict[str, Any] | None:
    if table is None:
        return None
    rows = [[_said(cell, prefer) for cell in row] for row in table.rows]
    return {"heads": list(table.heads), "rows": rows}


def _authority(authority: Authority | None) -> dict[str, str] | None:
    if authority is None:
        return None
    return {"owner": authority.owner, "source": authority.source.value, "cite": authority.cite}


def _said(said: Said, prefer: Preferences) -> dict[str, Any]:
    return {
        "text": said.read(prefer),
        "values": {slot: _value(value) for slot, value in said.values.items()},
    }


def _value(value: Quantity | str) -> str | dict[str, Any]:
    if isinstance(value, str):
        return value
    return {"value": number(value.value), "unit": SI[value.kind], "kind": value.kind.value}
