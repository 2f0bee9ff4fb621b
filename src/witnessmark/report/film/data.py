"""A map of films as data: every number in SI."""

import math
from typing import Any

import numpy as np

from witnessmark.jobs.film import EngineFilm
from witnessmark.model.film_map import WorstPoint
from witnessmark.model.log import Floats
from witnessmark.report.film.view import LIMITS
from witnessmark.units import SI, Kind, Preferences, Quantity

FORMAT = "witnessmark-film/1"


def film_json(made: EngineFilm, prefer: Preferences | None = None) -> dict[str, Any]:
    """The map as a dict fit for JSON. Sentences in the reader's units, numbers in SI.

    `film`, `angle`, `film_temperature`: for each bearing, speed, load and oil temperature; null
    is not shown. `reached`: whether this engine can make that load at that speed.
    """
    chosen, found = prefer or made.prefer, made.map
    who = found.authority
    return {
        "format": FORMAT,
        "serial": made.serial,
        "engine": made.engine,
        "build_sha256": made.build_sha256,
        "worked_out_by": {"owner": who.owner, "source": who.source.value, "cite": who.cite},
        "fuel_in_oil": made.fuel,
        "speed": {"unit": SI[Kind.ROTATIONAL_SPEED], "values": found.speed.tolist()},
        "load": [_quantity(load) for load in found.loads],
        "intake_pressure": {"unit": "Pa, absolute", "values": found.intake.tolist()},
        "full_throttle": found.full,
        "oil_temperature": {"unit": SI[Kind.TEMPERATURE], "values": found.temperature.tolist()},
        "bearings": list(found.bearings),
        "film": {"unit": "m", "values": _nested(found.film, 11)},
        "angle": {"unit": "rad", "values": _nested(found.angle, 4)},
        "film_temperature": {"unit": "K", "values": _nested(found.film_temperature, 2)},
        "reached": found.reached.tolist(),
        "not_shown": found.not_shown,
        "roughness": {
            "unit": "m", "run_in": found.rough.run_in, "new": found.rough.new,
            "full_film": found.rough.full_film, "boundary": found.rough.boundary,
        },
        "worst": _worst(found.worst) if found.worst else None,
        "marks": [
            {
                "title": mark.title, "speed": mark.speed, "film": _nested(mark.film, 11),
                "bearing": list(mark.bearing),
            }
            for mark in made.marks.marks
        ],
        "mark_oils": [
            {"oil_temperature": float(oil), "fuel": float(fuel)}
            for oil, fuel in zip(made.marks.oil, made.marks.fuel, strict=True)
        ],
        "ceilings": [vars(one) for one in made.ceilings],
        "answers": [
            {"question": one.question, "answer": one.said.read(chosen)} for one in made.answers
        ],
        "assumed": [
            {"path": a.path, "said": a.said.read(chosen), "why": a.why} for a in found.assumed
        ],
        "main_bearings_not_shown": made.mains_missing or None,
        "limits": list(LIMITS),
    }  # fmt: skip


def _worst(worst: WorstPoint) -> dict[str, Any]:
    plain = vars(worst) | {"load": _quantity(worst.load)}
    return plain | {"causes": [{"cause": name, "share": share} for name, share in worst.causes]}


def _quantity(load: Quantity) -> dict[str, Any]:
    return {"kind": load.kind.value, "unit": SI[load.kind], "value": load.value}


def _nested(values: Floats, decimals: int) -> Any:
    if values.ndim:
        return [_nested(one, decimals) for one in values]
    number = float(np.round(values, decimals))
    return number if math.isfinite(number) else None
