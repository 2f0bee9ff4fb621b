"""Where on speed and load the engine spent its time."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.checks.driving.load import Load
from witnessmark.checks.terms import Terms
from witnessmark.model.log import Floats, Log, Mask
from witnessmark.physics.variety import effective_cells
from witnessmark.units import Kind

_BLOCK = 1 << 16  # samples


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
    speed, values = log["engine_speed"], load.values
    first, columns, speed_edges = _edges(speed, good, terms["cell_speed"])
    lowest, rows, load_edges = _edges(values, good, tall)
    window, cells = terms["variety_window"], columns * rows
    windows = np.zeros((int((log.time[-1] - log.time[0]) / window) + 1, cells))
    # Block by block: what there is of one stays in the processor's cache.
    for start in range(0, len(good), _BLOCK):
        here = start + np.flatnonzero(good[start : start + _BLOCK])
        if not len(here):
            continue
        column = _cell(speed[here], terms["cell_speed"]) - first
        flat = column * rows + _cell(values[here], tall) - lowest
        number = ((log.time[here] - log.time[0]) / window).astype(np.int64)
        low, high = int(number[0]), int(number[-1]) + 1
        found = np.bincount(
            (number - low) * cells + flat, log.held[here], (high - low) * cells
        )  # fmt: skip
        windows[low:high] += found.reshape(-1, cells)
    seconds = windows.sum(axis=0).reshape(columns, rows)
    per_minute = _per_window(windows, window)
    return LoadMap(
        speed_edges, load_edges, seconds, load.channel, load.kind, terms["cell_time"], per_minute
    )


def _per_window(windows: Floats, window: float) -> float:
    """Mean effective cells of the windows at least half filled with driving; 0 without any."""
    filled = windows[windows.sum(axis=1) >= window / 2]
    return float(np.mean([effective_cells(w) for w in filled])) if len(filled) else 0.0


def _edges(values: Floats, where: Mask, width: float) -> tuple[int, int, Floats]:
    """The first cell of the values in `where`, how many there are, and their edges."""
    low, high = (
        int(_cell(np.asarray(f(values, where=where, initial=start)), width))
        for f, start in ((np.min, np.inf), (np.max, -np.inf))
    )
    return low, high - low + 1, np.arange(low, high + 2).astype(np.float64) * width


def _cell(values: Floats, width: float) -> NDArray[np.int64]:
    """The cell of each value, on whole multiples of the width."""
    # A reading that sits on an edge but for rounding belongs to the upper cell.
    return np.asarray(np.floor(values / width + 1e-6).astype(np.int64))
