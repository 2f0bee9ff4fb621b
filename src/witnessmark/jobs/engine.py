"""What a shop has kept of one engine."""

from dataclasses import dataclass

from witnessmark.model.kept_drive import EngineTotals, KeptDrive, totals
from witnessmark.records.drives import drives_of
from witnessmark.records.shop import Shop


@dataclass(frozen=True)
class EngineKept:
    """An engine's drives in the order they came, and their sums."""

    serial: str
    drives: tuple[KeptDrive, ...]
    totals: EngineTotals


def engine_kept(shop: Shop, serial: str) -> EngineKept:
    """What is kept of an engine. UserError if nothing is, or the record is damaged."""
    drives = drives_of(shop, serial)
    return EngineKept(serial, tuple(drives), totals(drives))
