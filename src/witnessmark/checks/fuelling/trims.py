"""Fuel trims: how far the control has to bend the map to hold the mixture."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import (
    cell,
    found,
    is_stuck,
    load_band,
    load_width,
    overrun,
    span_cell,
    steps,
)
from witnessmark.checks.terms import fraction, revolutions, seconds
from witnessmark.model.finding import Answer, Finding, Tabled
from witnessmark.model.log import Floats, Mask
from witnessmark.model.said import Said
from witnessmark.units import Quantity

SHORT, LONG = "fuel_trim_short", "fuel_trim_long"
CHECK, TITLE = "fuelling.trims", "Fuel trims"
_ROWS = 6  # cells listed, worst first: more hides the worst


@dataclass(frozen=True)
class Cell:
    """A cell of speed and load with its mean trim. SI; `load` None: the log shows no load."""

    speed: tuple[float, float]
    load: tuple[Quantity, Quantity] | None
    time: float
    mean: float
    idle: bool


def fuel_trims(case: Case) -> Iterator[Finding]:
    """Warm and steady, short and long trim together stay small in every cell of speed and load."""
    shown = [name for name in (SHORT, LONG) if name in case.log]
    if not shown:
        fit = "Log short and long fuel trim, or the closed-loop correction."
        yield case.missing(CHECK, TITLE, "fuel trims", needs=SHORT, fit=fit)
        return
    limit = case.terms.limits["trim_fine"]
    what = {1: f"{_WORDS[shown[0]]} only", 2: "short and long together"}[len(shown)]
    trim = case.log[shown[0]] if len(shown) == 1 else case.log[SHORT] + case.log[LONG]
    first = case.log[shown[0]]
    if (
        is_stuck(first, case.running)
        and first[case.running][0] == 0
        and is_stuck(trim, case.running)
    ):
        said = Said("They stand at nothing all through: the control never closed its loop.")
        advice = Said("Drive warm and steady, and see that closed loop is switched on.")
        yield found(case, CHECK, TITLE, shown, Answer.TOO_LITTLE, said, limit, do_next=advice)
        return
    cells = _cells(case, trim)
    if not cells:
        numbers = {"time": case.terms.limits["trim_cell_time"].value}
        said = Said("No cell of speed and load was held warm and steady for {time}.", numbers)
        advice = Said("Hold a steady light throttle, warm, for half a minute at two speeds.")
        yield found(case, CHECK, TITLE, shown, Answer.TOO_LITTLE, said, limit, do_next=advice)
        return
    yield _judge(case, shown, what, cells)


_WORDS = {SHORT: "short", LONG: "long"}


def _cells(case: Case, trim: Floats) -> list[Cell]:
    """Mean trim by cell over the steady steps, warm and in closed loop. Worst first."""
    step, width = case.terms["steady_window"], case.terms["cell_speed"]
    where = case.running & ~np.isnan(trim) & ~overrun(case) & case.settled("lambda_warm")
    if case.warm is not None:
        where &= case.warm
    idle_top = case.terms["idle_top"]
    if case.load is not None:
        where &= ~np.isnan(case.load.values)
    parts = steps(case, where, step)
    amount, speed = parts.means(trim), parts.means(case.log["engine_speed"])
    load = None if case.load is None else parts.means(case.load.values)
    steady = ~np.isnan(amount) & _calm(speed, case.terms["cruise_speed_band"])
    if load is not None:
        steady &= _calm(load, load_band(case))
    at = np.flatnonzero(steady)
    column = np.floor(speed[at] / width + 1e-6).astype(np.int64)
    row = np.zeros_like(column)
    if load is not None:
        row = np.floor(load[at] / load_width(case) + 1e-6).astype(np.int64)
    idle = speed[at] < idle_top
    cells = []
    for key in np.unique(np.stack([column, row, idle]), axis=1).T:
        here = at[(column == key[0]) & (row == key[1]) & (idle == key[2])]
        if len(here) * step < case.terms["trim_cell_time"]:
            continue
        cells.append(Cell(
            (float(key[0] * width), float((key[0] + 1) * width)), _load_span(case, int(key[1])),
            len(here) * step, float(amount[here].mean()), bool(key[2]),
        ))  # fmt: skip
    return sorted(cells, key=lambda c: -abs(c.mean))


def _calm(values: Floats, band: float) -> Mask:
    """Steps that with the two before them lie within a band: the trim has had time to follow."""
    before = [np.r_[np.full(k, np.nan), values[:-k]] if k else values for k in range(3)]
    spread = np.max(before, axis=0) - np.min(before, axis=0)
    calm: Mask = spread <= band  # a NaN compares false: a step after a gap is not steady
    return calm


def _load_span(case: Case, row: int) -> tuple[Quantity, Quantity] | None:
    if case.load is None:
        return None
    width = load_width(case)
    low, high = row * width, (row + 1) * width
    return Quantity(float(low), case.load.kind), Quantity(float(high), case.load.kind)


def _judge(case: Case, shown: list[str], what: str, cells: list[Cell]) -> Finding:
    good, fine = case.terms["trim_good"], case.terms["trim_fine"]
    stop = case.terms["trim_stop"]
    worst = cells[0]
    size = abs(worst.mean)
    driven = [c for c in cells if not c.idle]
    broken = any(abs(c.mean) > stop for c in driven)
    limit = case.terms.limits["trim_stop" if broken else "trim_fine"]
    numbers: dict[str, Quantity | str] = {
        "worst": fraction(size), "way": "adding" if worst.mean > 0 else "taking out",
        "low": revolutions(worst.speed[0]), "high": revolutions(worst.speed[1]), "what": what,
        "limit": limit.value,
    }  # fmt: skip
    load = ""
    if worst.load is not None:
        numbers |= {"from": worst.load[0], "to": worst.load[1]}
        load = " and {from} to {to}"
    place = "idling" if worst.idle else "at {low} to {high}" + load
    words = "Good" if size <= good else "Fine" if size <= fine else "Large"
    text = f"{words}: worst {place}, {{way}} {{worst}} of fuel ({{what}}); up to {{limit}} is fine."
    if broken:
        text = f"At its end: worst {place}, {{way}} {{worst}} of fuel ({{what}}), over {{limit}}."
    advice = _advice(cells, good) if size > fine else None
    if broken and advice is not None:
        advice = f"No more load until this is found. {advice}"
    return found(
        case, CHECK, TITLE, shown, Answer.BROKEN if broken else Answer.KEPT, Said(text, numbers),
        limit, do_next=None if advice is None else Said(advice), table=_table(cells),
    )  # fmt: skip


def _advice(cells: list[Cell], good: float) -> str:
    """Where to look, by where the trims are large and which way."""
    worst = cells[0]
    idle = [c.mean for c in cells if c.idle]
    driven = [c.mean for c in cells if not c.idle]
    calm_idle = bool(idle) and max(map(abs, idle)) <= good
    calm_drive = bool(driven) and max(map(abs, driven)) <= good
    if worst.mean > 0:
        if not driven:
            return "Smoke-test for an air leak, then log a steady cruise: only idle was steady."
        if worst.idle and calm_drive:
            return "Only idling: smoke-test for an air leak after the throttle or the meter."
        if not worst.idle and calm_idle:
            return "Only driving: fuel pressure under load, filter, pump, injector flow."
        return "Ask the tuner: fuel pressure, injector size and air meter in the map; then leaks."
    if worst.idle and calm_drive:
        return "Only idling: a leaking injector, purge valve, or fuel in the oil."
    return "Ask the tuner: too much fuel. Pressure, regulator, injector size in the map, oil smell."


def _table(cells: list[Cell]) -> Tabled:
    heads = ("Engine speed", *(("Load",) if cells[0].load is not None else ()), "Time", "Trim")
    rows = []
    for c in cells[:_ROWS]:
        speed = span_cell(revolutions(c.speed[0]), revolutions(c.speed[1]))
        load = () if c.load is None else (span_cell(*c.load),)
        sign = "+" if c.mean > 0 else ""
        rows.append((speed, *load, cell(seconds(c.time)), Said(f"{sign}{c.mean * 100:.0f} %")))
    return Tabled(heads, tuple(rows))
