"""Where a log comes nearest to its limits: looked at when no limit was broken."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.pressure.rule_of_thumb import floor_pressure
from witnessmark.checks.terms import gauge, revolutions
from witnessmark.model.log import Floats, Log, Span
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

_HEATS = ("coolant_temperature", "oil_temperature", "exhaust_temperature")


@dataclass(frozen=True)
class Extreme:
    """A moment that broke nothing, and why it is shown."""

    title: str
    said: Said
    span: Span


def extremes(case: Case) -> tuple[Extreme, ...]:
    """Highest load, highest temperatures, least oil pressure over the floor, as far as shown."""
    return (*_load(case), *_heat(case), *_margin(case))


def _load(case: Case) -> Iterator[Extreme]:
    load = case.load
    if load is None:
        return
    found = _highest(case.log, np.where(case.running, load.values, np.nan))
    if found is not None:
        said = Said(
            f"{{load}} ({load.title}) at {{speed}}",
            {"load": Quantity(float(load.values[found]), load.kind), "speed": _speed(case, found)},
        )
        yield Extreme("Highest load", said, _span(case.log, found))


def _heat(case: Case) -> Iterator[Extreme]:
    for channel in _HEATS:
        found = _highest(case.log, case.log[channel]) if channel in case.log else None
        if found is not None:
            hot = Quantity(float(case.log[channel][found]), Kind.TEMPERATURE)
            said = Said("{hot} at {speed}", {"hot": hot, "speed": _speed(case, found)})
            title = f"Highest {channel.replace('_', ' ')}"
            yield Extreme(title, said, _span(case.log, found))


def _margin(case: Case) -> Iterator[Extreme]:
    if "oil_pressure" not in case.log:
        return
    own = case.own_pressure
    floor, what = (
        (floor_pressure(case), "rule-of-thumb floor")
        if own is None else (own.floor, "floor worked out for this engine")
    )  # fmt: skip
    over = np.where(case.settled("floor_delay"), case.log["oil_pressure"] - floor, np.nan)
    found = _highest(case.log, -over)
    if found is None:
        return
    said = Said(
        f"{{margin}} over the {what}: {{shown}} at {{speed}}",
        {
            "margin": gauge(float(over[found])), "speed": _speed(case, found),
            "shown": gauge(float(case.log["oil_pressure"][found])),
        },
    )  # fmt: skip
    yield Extreme("Least oil pressure over its floor", said, _span(case.log, found))


def _highest(log: Log, values: Floats) -> int | None:
    return int(np.nanargmax(values)) if np.isfinite(values).any() else None


def _speed(case: Case, sample: int) -> Quantity:
    return revolutions(float(case.log["engine_speed"][sample]))


def _span(log: Log, sample: int) -> Span:
    start = float(log.time[sample])
    return Span(start, start + float(log.held[sample]))
