"""Put the pressures of this build into the abort list, the general ones beside them."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from witnessmark.model.expected_pressure import HIGHEST, LOWEST, PressureTable
from witnessmark.model.plan import Abort, Line, RunPlan
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity, parse

_SPEEDS = ("2000 rpm", "4000 rpm")  # a technician looks at the gauge at round numbers
_RARE = "About 1 in 200 {} read so {}."
Texts = tuple[str, str]  # the sentence, and what is rare about it


def with_own_pressures(plan: RunPlan) -> RunPlan:
    """The plan whose abort lines on pressure say this build's numbers first.

    What the recipe says of any engine is kept beside. A plan without a band stays as it is.
    """
    if plan.band is None:
        return plan
    return replace(plan, aborts=tuple(_own(abort, plan.band) for abort in plan.aborts))


def _own(abort: Abort, band: PressureTable) -> Abort:
    told = OWN.get(abort.id)
    if told is None:
        return abort
    text, rare = told
    said = Said(f"Oil pressure {text} ({band.basis}).", _pressures(band))
    why = f"{_RARE.format(band.among, rare)} {abort.line.why}"
    return replace(abort, line=Line(said, why, band.authority), general=abort.line)


# By the id of the abort: what this build adds to it.
OWN: Mapping[str, Texts] = {
    "pressure-cold": (
        "under {own_cold_low} at {own_speed} on oil of {own_cold}",
        "low",
    ),
    "pressure-hot": (
        "under {own_idle_low} at idle, {own_hot_low} at {own_speed} or {own_fast_low} at "
        "{own_fast}, on oil of {own_hot}",
        "low",
    ),
    "pressure-high": (
        "over {own_cold_high} at {own_speed} on oil of {own_cold}, or over {own_hot_high} on oil "
        "of {own_hot}",
        "high",
    ),
}


def _pressures(band: PressureTable) -> dict[str, Quantity]:
    speed, fast = (parse(text, Kind.ROTATIONAL_SPEED, "") for text in _SPEEDS)
    fast = min(fast, Quantity(band.speed[-1], Kind.ROTATIONAL_SPEED), key=lambda q: q.value)
    cold, hot = band.oils[0], band.oils[-1]
    low, high = _reader(band, LOWEST), _reader(band, HIGHEST)
    return {
        "own_speed": speed, "own_fast": fast, "own_cold": Quantity(cold, Kind.TEMPERATURE),
        "own_hot": Quantity(hot, Kind.TEMPERATURE),
        "own_cold_low": low(speed.value, cold), "own_hot_low": low(speed.value, hot),
        "own_idle_low": low(band.idle, hot), "own_fast_low": low(fast.value, hot),
        "own_cold_high": high(speed.value, cold), "own_hot_high": high(speed.value, hot),
    }  # fmt: skip


def _reader(band: PressureTable, place: int) -> Callable[[float, float], Quantity]:
    def read(speed: float, oil: float) -> Quantity:
        found = band.lines((place,), np.array(speed), np.array(oil))
        return Quantity(float(found[0]), Kind.PRESSURE)

    return read
