"""A verdict as data: every number in SI beside the sentence it stands in."""

import json
import math
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.checks.load_map import LoadMap
from witnessmark.jobs.review import Review
from witnessmark.model.authority import Authority
from witnessmark.model.finding import Finding
from witnessmark.model.log import Floats, Log
from witnessmark.model.plan import RunPlan
from witnessmark.model.said import Said
from witnessmark.report.verdict.view import headline, in_order
from witnessmark.units import SI, Kind, Preferences, Quantity

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
    chosen = prefer or review.plan.prefer
    return {
        "format": FORMAT,
        "answer": review.verdict.answer.value,
        "headline": headline(review.verdict),
        "phase": {"id": review.phase.id, "title": review.phase.title},
        "plan": _plan(review.plan),
        "log": _log(review.log),
        "findings": [_finding(f, chosen) for f in in_order(review.verdict)],
        "load_map": None if review.load_map is None else _load_map(review.load_map),
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
                "why": c.why,
                "shown": _number(c.shown),
            }
            for c in log.columns
        ],
        "notes": [{"where": n.where, "said": n.said} for n in log.notes],
    }


def _finding(finding: Finding, prefer: Preferences) -> dict[str, Any]:
    return {
        "check": finding.check,
        "title": finding.title,
        "answer": finding.answer.value,
        "required": finding.required,
        "said": _said(finding.said, prefer),
        "limit_set_by": _authority(finding.authority),
        "do_next": None if finding.do_next is None else _said(finding.do_next, prefer),
        "events": [
            {"start": e.span.start, "end": e.span.end, "said": _said(e.said, prefer)}
            for e in finding.events
        ],
    }


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
    return {"value": _number(value.value), "unit": SI[value.kind], "kind": value.kind.value}


def _load_map(cells: LoadMap) -> dict[str, Any]:
    return {
        "load": cells.load,
        "speed_edges": _numbers(cells.speed_edges),
        "speed_unit": SI[Kind.ROTATIONAL_SPEED],
        "load_edges": _numbers(cells.load_edges),
        "load_unit": SI[cells.load_kind],
        "seconds": [_numbers(row) for row in cells.seconds],
        "counted": cells.counted,
    }


def _numbers(values: Floats) -> list[float | None]:
    return [_number(float(value)) for value in values]


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
