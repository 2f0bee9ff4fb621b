"""The oil pressure a plan expects, as its reader sees it: numbers in his units."""

from dataclasses import dataclass

import numpy as np

from witnessmark.model.expected_pressure import PressureTable
from witnessmark.model.plan import RunPlan
from witnessmark.units import Kind, Preferences, Quantity, parse, show, shown_value

_STEP = "1000 rpm"
_OILS = ("Cold oil", "Warm oil", "Hot oil")  # as the table's own, cold to hot


@dataclass(frozen=True)
class ExpectedView:
    """Pressures at one speed and oil: numbers without their unit, from floor to top."""

    floor: str
    low: str
    middle: str
    high: str
    top: str


@dataclass(frozen=True)
class ExpectedRow:
    """One engine speed; `rule` is what the rule of thumb would ask."""

    speed: str
    cells: tuple[ExpectedView, ...]
    rule: str


@dataclass(frozen=True)
class PressureView:
    """The table, empty where nothing can be foretold; `said` what it means or why it is empty."""

    oils: tuple[str, ...]
    rows: tuple[ExpectedRow, ...]
    said: str
    rule: str
    who: str


def pressure_view(plan: RunPlan, prefer: Preferences) -> PressureView:
    """The pressures of a plan in words."""
    per_speed = plan.limits.get("floor_per_1000rpm")
    rule = ""
    if per_speed is not None:
        rule = (
            f"Rule of thumb, for comparison only: {show(per_speed.value, prefer)} for each "
            f"1,000 rpm ({per_speed.authority})."
        )
    if plan.band is None:
        instead = rule.replace("for comparison only", "by which a log is judged instead")
        why = f"No oil pressure can be foretold for this build: {plan.no_band}"
        return PressureView((), (), why, instead, "")
    band = plan.band
    asks = 0.0 if per_speed is None else per_speed.value.value / _step()
    oils = tuple(
        f"{name}, {show(Quantity(oil, Kind.TEMPERATURE), prefer)}"
        for name, oil in zip(_OILS, band.oils, strict=True)
    )
    rows = tuple(_row(band, n, asks, prefer) for n in round_speeds(band.idle, band.speed[-1]))
    said = (
        f"Gauge pressure in {prefer.unit(Kind.PRESSURE)}, {band.basis}. In bold what half of all "
        f"{band.among} stay under, then between what 90 of 100 lie. About 1 in 200 reads under "
        "the floor, about 1 in 200 over the top: there, stop and prove it."
    )
    return PressureView(oils, rows, said, rule, f"Worked out by {band.authority}.")


def round_speeds(idle: float, top: float) -> list[float]:
    """Idle, every full thousand over it, and the top speed. [rev/s]"""
    steps = np.arange(1, top / _step() + 1e-9) * _step()
    return sorted({idle, *(float(s) for s in steps if s > 1.2 * idle), top})


def bare_pressure(pressure: float, prefer: Preferences) -> str:
    """A gauge pressure in the reader's unit, the unit left away."""
    shown = show(Quantity(pressure, Kind.PRESSURE), prefer)
    return shown.removesuffix(shown_value(Quantity(0.0, Kind.PRESSURE), prefer)[1]).strip()


def speed_named(speed: float, idle: float, prefer: Preferences) -> str:
    """A speed, and that it is idle where it is."""
    shown = show(Quantity(speed, Kind.ROTATIONAL_SPEED), prefer)
    return f"{shown}, idle" if speed == idle else shown


def _step() -> float:
    return parse(_STEP, Kind.ROTATIONAL_SPEED, "").value


def _row(band: PressureTable, speed: float, asks: float, prefer: Preferences) -> ExpectedRow:
    cells = []
    for oil in band.oils:
        e = band.at(speed, oil)
        five = (e.lowest, e.low, e.middle, e.high, e.highest)
        cells.append(ExpectedView(*(bare_pressure(float(p), prefer) for p in five)))
    rule = bare_pressure(asks * speed, prefer)
    return ExpectedRow(speed_named(speed, band.idle, prefer), tuple(cells), rule)
