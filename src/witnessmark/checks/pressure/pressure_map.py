"""Oil pressure by engine speed and oil temperature, beside what this engine should show."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.checks.case import Case
from witnessmark.checks.coarse import Coarse
from witnessmark.checks.pressure.own_pressure import OIL
from witnessmark.checks.pressure.rule_of_thumb import CHANNEL, floor_pressure, rule_at
from witnessmark.model.expected_pressure import HIGHEST, LOWEST, MIDDLE
from witnessmark.model.log import Floats, Mask
from witnessmark.physics.medians import medians

KELVIN = 273.15  # cells of oil temperature lie on whole degrees Celsius


@dataclass(frozen=True)
class PressureMap:
    """Readings and lines in each cell of engine speed (s) and oil temperature (t).

    Shape (s, t) unless said otherwise; gauge pressure in Pa, NaN where nothing was read.
    `oil_edges` : [K] (t + 1,), None where the log shows no oil temperature (t = 1).
    `seconds`, `below`, `above` : time judged, under the floor and over the top line [s], told by
    the lines that follow speed and oil late.
    `lowest`, `median`, `highest` : of readings whose speed had stayed in the cell for the time
    pressure takes to follow it.
    `speed` : mean speed of those readings [rev/s], the middle of the cell where there are none.
    `floor`, `middle`, `top` : lines at that speed and at the mean oil temperature; `middle` and
    `top` NaN where only the rule of thumb is known.
    `basis` : what the lines rest on, "" for the rule of thumb. `why` : why there is no band.
    """

    speed_edges: Floats
    oil_edges: Floats | None
    seconds: Floats
    below: Floats
    above: Floats
    lowest: Floats
    median: Floats
    highest: Floats
    speed: Floats
    floor: Floats
    middle: Floats
    top: Floats
    basis: str
    why: str
    counted: float  # seconds a cell needs to be spoken of


def pressure_map(case: Case) -> PressureMap | None:
    """The map of a log; None when it shows no oil pressure in a running engine."""
    log, terms = case.log, case.terms
    if CHANNEL not in log:
        return None
    shown = case.settled("floor_delay") & ~np.isnan(log[CHANNEL])
    oil = log.channels.get(OIL)
    if oil is None or np.isnan(oil[shown]).all():
        oil = None
    else:
        shown &= ~np.isnan(oil)
    coarse = Coarse(len(log.time))
    judged = coarse.all(shown)
    if not judged.any():
        return None
    column, speed_edges = _cells(coarse.first(log["engine_speed"]), judged, terms["cell_speed"])
    row, oil_edges = np.zeros(len(column), dtype=np.int64), None
    if oil is not None:
        row, oil_edges = _cells(coarse.first(oil), judged, terms["cell_oil"], KELVIN)
    shape = (len(speed_edges) - 1, 1 if oil_edges is None else len(oil_edges) - 1)
    cell = column * shape[1] + row
    seconds, below, above = (
        _time(cell[judged], coarse.total(log.held * where)[judged], shape)
        for where in (shown, *_beyond(case, shown))
    )
    steady = judged & (_stayed(coarse.first(log.time), column) >= terms["pressure_lag"])
    lowest, median, highest = _read(
        cell[steady], shape, coarse.least(log[CHANNEL])[steady], coarse.most(log[CHANNEL])[steady],
        coarse.first(log[CHANNEL])[steady], coarse.total(log.held)[steady],
    )  # fmt: skip
    held = coarse.total(log.held)[steady]
    means = _centres(speed_edges, oil_edges)
    for mean, values in zip(means, (log["engine_speed"], oil), strict=True):
        if values is not None:
            _mean(mean, cell[steady], coarse.first(values)[steady], held)
    floor, middle, top = _lines(case, *means, known=oil_edges is not None)
    own = case.own_pressure
    return PressureMap(
        speed_edges, oil_edges, seconds, below, above, lowest, median, highest, means[0],
        floor, middle, top, own.band.basis if own else "", terms.no_band, terms["cell_time"],
    )  # fmt: skip


def _cells(
    values: Floats, where: Mask, width: float, zero: float = 0.0
) -> tuple[NDArray[np.int64], Floats]:
    """Cell of each value in `where` (0 elsewhere) and the edges, on multiples of the width."""
    place = np.floor((np.where(where, values, values[where][0]) - zero) / width + 1e-6)
    cell = place.astype(np.int64)
    first, last = int(cell.min()), int(cell.max())
    return cell - first, np.arange(first, last + 2).astype(np.float64) * width + zero


def _time(cell: NDArray[np.int64], seconds: Floats, shape: tuple[int, int]) -> Floats:
    """Seconds of each cell."""
    total = np.bincount(cell, seconds, shape[0] * shape[1])
    return total.astype(np.float64).reshape(shape)


def _beyond(case: Case, judged: Mask) -> tuple[Mask, Mask]:
    """Where pressure lies under the floor and over the top line."""
    pressure, own = case.log[CHANNEL], case.own_pressure
    if own is None:
        return judged & (pressure < floor_pressure(case)), np.zeros_like(judged)
    with np.errstate(invalid="ignore"):
        return judged & (pressure < own.floor), judged & (pressure > own.top)


def _stayed(time: Floats, cell: NDArray[np.int64]) -> Floats:
    """How long each sample's cell has been the same. [s]"""
    begins = np.flatnonzero(np.diff(cell, prepend=cell[0] - 1))
    return time - np.repeat(time[begins], np.diff(begins, append=len(cell)))


def _read(
    cell: NDArray[np.int64], shape: tuple[int, int], least: Floats, most: Floats, one: Floats,
    held: Floats,
) -> tuple[Floats, Floats, Floats]:  # fmt: skip
    """Lowest, median by time and highest pressure of each cell."""
    found = np.full((3, shape[0] * shape[1]), np.nan)
    if len(cell):
        # Sixteen bits sort by counting: a long log waits for nothing.
        order = np.argsort(cell.astype(np.uint16), kind="stable")
        begins = np.flatnonzero(np.diff(cell[order], prepend=-1))
        used = cell[order][begins]
        found[0, used] = np.minimum.reduceat(least[order], begins)
        found[2, used] = np.maximum.reduceat(most[order], begins)
        found[1], _ = medians(cell, one, held, found.shape[1])
        found[1] = np.clip(found[1], found[0], found[2])
    lowest, median, highest = found.reshape(3, *shape)
    return lowest, median, highest


def _centres(speed_edges: Floats, oil_edges: Floats | None) -> tuple[Floats, Floats]:
    """Speed and oil temperature at the middle of each cell; NaN for oil that is not shown."""
    speed = (speed_edges[1:] + speed_edges[:-1]) / 2
    oil = np.array([np.nan]) if oil_edges is None else (oil_edges[1:] + oil_edges[:-1]) / 2
    one, other = np.meshgrid(speed, oil, indexing="ij")
    return one, other


def _mean(into: Floats, cell: NDArray[np.int64], values: Floats, held: Floats) -> None:
    """The mean by time of each cell that holds anything, in place of what stands there."""
    time = np.bincount(cell, held, into.size)
    whole = np.bincount(cell, held * values, into.size)
    np.divide(whole, time, out=into.reshape(-1), where=time > 0)


def _lines(case: Case, speed: Floats, oil: Floats, *, known: bool) -> tuple[Floats, Floats, Floats]:
    """Floor, middle and top line of each cell. `known`: whether the oil's temperature is."""
    own = case.own_pressure
    none = np.full(speed.shape, np.nan)
    if own is None:
        return rule_at(case.terms, speed), none, none
    if known:
        floor, middle, top = own.band.lines((LOWEST, MIDDLE, HIGHEST), speed, oil)
        return floor, middle, top
    floor = own.band.floor_of_any(LOWEST, speed, own.hottest)
    return floor, none, own.band.top_of_any(HIGHEST, speed, own.hottest)
