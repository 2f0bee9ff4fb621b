"""A pressure band as data: every number in SI."""

import math
from typing import Any

from witnessmark.jobs.band import EngineBand, Reading
from witnessmark.model.authority import Authority
from witnessmark.model.expected_pressure import QUANTILES
from witnessmark.model.log import Floats
from witnessmark.model.pressure_band import Judged
from witnessmark.units import SI, Kind, Preferences

FORMAT = "witnessmark-band/1"


def band_json(
    made: EngineBand,
    prefer: Preferences | None = None,
    reading: Reading | None = None,
    judged: Judged | None = None,
) -> dict[str, Any]:
    """The band as a dict fit for JSON. Sentences in the reader's units, numbers in SI.

    `pressure` : one table for each of `quantiles`, its rows are speeds, its columns temperatures.
    `reading`, `judged` : a look at the gauge and its answer, if there was one.
    """
    chosen, band = prefer or made.prefer, made.band
    return {
        "format": FORMAT,
        "serial": made.serial,
        "engine": made.engine,
        "build_sha256": made.build_sha256,
        "basis": band.basis,
        "worked_out_by": _authority(band.authority),
        "speed": {"unit": SI[Kind.ROTATIONAL_SPEED], "values": band.speed.tolist()},
        "oil_temperature": {"unit": SI[Kind.TEMPERATURE], "values": band.temperature.tolist()},
        "quantiles": list(QUANTILES),
        "pressure": {"unit": SI[Kind.PRESSURE], "values": _rounded(band.pressure, 1)},
        "relief_opening": band.relief,
        "shares": {name: _rounded(share, 4) for name, share in band.shares.items()},
        "shares_overall": {name: round(share, 4) for name, share in band.overall()},
        "rule_of_thumb": {
            "pressure_per_1000rpm": made.rule.value.value, "set_by": _authority(made.rule.authority)
        },
        "spreads": [
            {"parameter": name, "made_of": words, "set_by": _authority(who)}
            for name, words, who in made.spreads
        ],
        "assumed": [
            {"path": a.path, "said": a.said.read(chosen), "why": a.why} for a in band.assumed
        ],
        "reading": None if reading is None or judged is None else _reading(reading, judged, chosen),
    }  # fmt: skip


def _reading(reading: Reading, judged: Judged, prefer: Preferences) -> dict[str, Any]:
    found = judged.expected
    five = () if found is None else (found.lowest, found.low, found.middle, found.high,
                                     found.highest)  # fmt: skip
    return {
        "pressure": _number(reading.pressure),
        "speed": _number(reading.speed),
        "oil_temperature": _number(reading.temperature),
        "answer": judged.answer.value,
        "said": judged.said.read(prefer),
        "expected": [float(p) for p in five] or None,
        "inside": None if found is None else bool(found.inside),
    }


def _authority(who: Authority) -> dict[str, str]:
    return {"owner": who.owner, "source": who.source.value, "cite": who.cite}


def _rounded(values: Floats, decimals: int) -> Any:
    return (values.round(decimals) + 0.0).tolist()  # never "-0"


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
