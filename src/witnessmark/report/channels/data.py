"""The columns of a log as data: every number in SI."""

import math
from typing import Any

from witnessmark.jobs.channels import Explained, LogExplained
from witnessmark.units import SI

FORMAT = "witnessmark-channels/1"


def channels_json(found: LogExplained) -> dict[str, Any]:
    """The columns as a dict fit for JSON (no NaN, no infinity)."""
    log = found.log
    return {
        "format": FORMAT,
        "log": {
            "name": log.source.name, "sha256": log.source.sha256, "layout": log.source.layout,
            "rows": log.source.rows, "seconds_recorded": float(log.held.sum()),
            "started": log.started.isoformat() if log.started else None,
        },
        "columns": [_column(c) for c in found.columns],
        "notes": [{"where": n.where, "said": n.said} for n in log.notes],
    }  # fmt: skip


def _column(found: Explained) -> dict[str, Any]:
    column, seen = found.column, found.shown
    return {
        "name": column.name, "unit": column.unit, "channel": column.channel,
        "taken_unit": column.taken_unit, "may_be": column.may_be or None,
        "sure": column.sure.value if column.sure else None, "how": column.how.value,
        "why": column.why, "reasons": list(column.reasons), "to_type": list(found.options),
        "shown": _number(column.shown),
        "si_unit": SI[found.channel.kind] if found.channel else None,
        "low": _number(seen.low) if seen else None, "high": _number(seen.high) if seen else None,
        "fastest_in_a_second": _number(seen.fastest) if seen else None,
        "readings_a_second": _number(seen.a_second) if seen else None,
    }  # fmt: skip


def _number(value: float | None) -> float | None:
    return float(value) if value is not None and math.isfinite(value) else None
