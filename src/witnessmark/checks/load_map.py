"""Where on speed and load the engine spent its time."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.checks.load import Load
from witnessmark.checks.terms import Terms
from witnessmark.model.log import Floats, Log, Mask
from witnessmark.physics.variety import effective_cells
from witnessmark.units import Kind


@dataclass(frozen=True)
class LoadMap:
    """Seconds spent in each cell of engine speed against load.

    `seconds` has shape (len(speed_edges) - 1, len(load_edges) - 1); edges in SI.
    `load` names the channel the load was read from (manifold_pressure, engine_load, ...).
    `counted` : seconds a cell needs to count as visited.
    """

    speed_edges: Floats
    load_edges: Floats
    seconds: Floats
    load: str
    load_kind: Kind
    counted: float
    per_minute: float  # effective cells of a typical window of driving [-]

    @property
    def cells(self) -> int:
        """Cells visited long enough to count."""
        return int((self.seconds >= self.counted).sum())

    @property
    def effective(self) -> float:
        """Equally used cells that would be as varied as this map. [-]"""
        return effective_cells(self.seconds)


def load_map(log: Log, terms: Terms, load: Load, where: Mask) -> LoadMap | None:
    """Time by engine speed and load in `where`; None when no load is shown there."""
    tall = terms["cell_pressure" if load.channel == "manifold_pressure" else "cell_load"]
    good = where & ~np.isnan(load.values)
    if not good.any():
        return None
    columns, speed_edges = _cells(log["engine_speed"][good], terms["cell_speed"])
    rows, load_edges = _cells(load.values[good], tall)
    shape = (len(speed_edges) - 1, len(load_edges) - 1)
    flat, held = columns * shape[1] + rows, log.held[good]
    seconds = np.bincount(flat, held, shape[0] * shape[1]).astype(np.float64).reshape(shape)
    since = log.time[good] - log.time[0]
    per_minute = _per_window(flat, held, since, terms["variety_window"])
    return LoadMap(
        speed_edges, load_edges, seconds, load.channel, load.kind, terms["cell_time"], per_minute
    )


def _per_window(cell: NDArray[np.int64], held: Floats, since: Floats, window: float) -> float:
    """Mean effective cells of the windows at least half filled with driving; 0 without any."""
    number = (since / window).astype(np.int64)
    cells = int(cell.max()) + 1
    windows = np.bincount(number * cells + cell, held, (int(number.max()) + 1) * cells)
    windows = windows.reshape(-1, cells)
    filled = windows[windows.sum(axis=1) >= window / 2]
    return float(np.mean([effective_cells(w) for w in filled])) if len(filled) else 0.0


def _cells(values: Floats, width: float) -> tuple[NDArray[np.int64], Floats]:
    """Cell of each value and the edges, both on whole multiples of the width."""
    # A reading that sits on an edge but for rounding belongs to the upper cell.
    cell = np.floor(values / width + 1e-6).astype(np.int64)
    first = int(cell.min())
    edges = np.arange(first, int(cell.max()) + 2).astype(np.float64) * width
    return cell - first, edges
