"""Drift as data: shares and SI."""

from dataclasses import asdict
from typing import Any

from witnessmark.model.build import BuildSheet
from witnessmark.model.drift import Drift
from witnessmark.report.drift.view import drift_view
from witnessmark.units import SI, Preferences

FORMAT = "witnessmark-drift/1"


def drift_json(
    found: Drift, sheet: BuildSheet, prefer: Preferences | None = None
) -> dict[str, Any]:
    """Drift as a dict fit for JSON. Sentences in the reader's units, numbers in SI and shares."""
    view = drift_view(found, sheet, prefer)
    return {
        "format": FORMAT,
        "serial": found.serial,
        "build_sha256": found.build_sha256,
        "book_sha256": found.book_sha256,
        "reference": found.reference,
        "reference_values": [
            {"name": name, "value": value.value, "unit": SI[value.kind]}
            for name, value in found.values
        ],
        "false_alarms": found.false_alarms,
        "power": found.power,
        "logs": [
            {
                "name": log.source.name,
                "sha256": log.source.sha256,
                "seconds": log.seconds,
                "oil": log.oil,
                "headline": shown.headline,
                "changes": [asdict(each) for each in log.changes],
                "thinner_oil": asdict(log.thinner),
                "scatter": log.scatter,
                "notes": list(shown.notes),
            }
            for log, shown in zip(found.logs, view.logs, strict=True)
        ],
    }
