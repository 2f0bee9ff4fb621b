"""How a drive was driven, as data: load map with coverage, gears, oil pressure map. SI."""

import math
from typing import Any

from witnessmark.checks.driving.coverage import Coverage
from witnessmark.checks.driving.gears import Gears
from witnessmark.checks.driving.load_map import LoadMap
from witnessmark.checks.pressure.pressure_map import PressureMap
from witnessmark.model.log import Floats
from witnessmark.units import SI, Kind


def load_map_data(cells: LoadMap, coverage: Coverage | None) -> dict[str, Any]:
    """Seconds by engine speed and load, and what of the phase they cover."""
    return {
        "load": cells.load,
        "speed_edges": numbers(cells.speed_edges),
        "speed_unit": SI[Kind.ROTATIONAL_SPEED],
        "load_edges": numbers(cells.load_edges),
        "load_unit": SI[cells.load_kind],
        "seconds": table(cells.seconds),
        "counted": cells.counted,
        "coverage": None if coverage is None else _coverage(coverage),
    }


def _coverage(coverage: Coverage) -> dict[str, Any]:
    return {
        "speed_edges": numbers(coverage.speed_edges),
        "load_edges": numbers(coverage.load_edges),
        "seconds": table(coverage.seconds),
        "reachable": coverage.reachable.tolist(),
        "covered": coverage.covered.tolist(),
        "share": number(coverage.share),
    }


def gears_data(gears: Gears) -> dict[str, Any]:
    """The gears driven, lowest first."""
    return {
        "told": gears.why,
        "gears": [
            {
                "name": used.name,
                "turns_per_metre": number(used.turns),
                "seconds": number(used.seconds),
                "metres": number(used.distance),
            }
            for used in gears.used
        ],
        "out_of_gear": {reason.name.lower(): number(s) for reason, s in gears.out.items()},
    }


def pressure_map_data(found: PressureMap) -> dict[str, Any]:
    """Oil pressure by engine speed and oil temperature, beside its lines."""
    return {
        "speed_edges": numbers(found.speed_edges),
        "speed_unit": SI[Kind.ROTATIONAL_SPEED],
        "oil_edges": None if found.oil_edges is None else numbers(found.oil_edges),
        "oil_unit": SI[Kind.TEMPERATURE],
        "pressure_unit": SI[Kind.PRESSURE],
        "seconds": table(found.seconds),
        "seconds_under": table(found.below),
        "seconds_over": table(found.above),
        "lowest": table(found.lowest),
        "median": table(found.median),
        "highest": table(found.highest),
        "speed": table(found.speed),
        "floor": table(found.floor),
        "middle": table(found.middle),
        "top": table(found.top),
        "basis": found.basis or "rule of thumb",
    }


def numbers(values: Floats) -> list[float | None]:
    """A row of numbers, null where not known."""
    return [number(float(value)) for value in values]


def number(value: float) -> float | None:
    """A number, null where it is not known."""
    return float(value) if math.isfinite(value) else None


def table(values: Floats) -> list[list[float | None]]:
    """One row a cell of speed."""
    return [numbers(row) for row in values]
