"""An engine's drives as data: every number in SI, null where nothing is shown."""

from dataclasses import asdict
from typing import Any

from witnessmark.jobs.engine import EngineKept

FORMAT = "witnessmark-engine/1"


def engine_json(found: EngineKept) -> dict[str, Any]:
    """Sums and drives as a dict fit for JSON. Seconds, revolutions, metres."""
    return {
        "format": FORMAT,
        "serial": found.serial,
        "totals": asdict(found.totals),
        "drives": [asdict(drive) for drive in found.drives],
    }
