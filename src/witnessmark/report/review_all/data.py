"""Many logs' verdicts as data: SI numbers, null where nothing is shown."""

import csv
import io
from typing import Any

from witnessmark.jobs.review_all import Batch, Reviewed
from witnessmark.report.verdict.view import headline

FORMAT = "witnessmark-logs/1"
_HEADS = ("log", "started", "answer", "lines_broken", "running_s", "revolutions", "distance_m",
          "same_file_as", "maybe_same_drive_as", "said", "sha256")  # fmt: skip


def batch_json(found: Batch) -> dict[str, Any]:
    """A dict fit for JSON. Seconds, revolutions, metres."""
    sums = found.totals
    return {
        "format": FORMAT,
        "serial": found.serial,
        "phase": found.phase,
        "logs": [_line(log, found) for log in found.logs],
        "not_judged": list(found.left),
        "totals": {
            "drives": sums.drives, "running_s": sums.running, "revolutions": sums.revolutions,
            "distance_m": sums.distance, "drives_without_distance": sums.without_distance,
            "same_file_again": sums.twins,
        },
    }  # fmt: skip


def batch_csv(found: Batch) -> str:
    """The lines as CSV, one a log; an empty cell where nothing is shown."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(_HEADS)
    for log in found.logs:
        line = _line(log, found)
        writer.writerow(_plain(line[head]) for head in _HEADS)
    return text.getvalue()


def _plain(value: object) -> object:
    """A cell that no spreadsheet takes for a formula."""
    if isinstance(value, float):
        return f"{value:.1f}"
    text = "" if value is None else str(value)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") else text


def _line(log: Reviewed, found: Batch) -> dict[str, Any]:
    drive, verdict = log.drive, log.verdict
    names = {one.drive.sha256: one.name for one in reversed(found.logs) if one.drive}
    return {
        "log": log.name,
        "started": (drive.started or None) if drive else None,
        "answer": verdict.answer.value if verdict else "not judged",
        "lines_broken": log.broken if verdict else None,
        "running_s": drive.running if drive else None,
        "revolutions": drive.revolutions if drive else None,
        "distance_m": drive.distance if drive else None,
        "same_file_as": names.get(drive.twin_of) if drive and drive.twin_of else None,
        "maybe_same_drive_as": log.like or None,
        "said": headline(verdict) if verdict else str(log.fault or ""),
        "sha256": drive.sha256 if drive else None,
    }
