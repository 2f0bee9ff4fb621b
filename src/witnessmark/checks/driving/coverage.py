"""Which speeds and loads a phase should be driven at, and which of them were.

Reachable, and so asked for, is a cell whose middle lies
- between idling and the phase's engine speed ceiling, and
- over overrun (engine braking has a count of its own) and under the load the phase allows: the
  atmosphere and the boost ceiling; without manifold pressure and with a boost ceiling, the share
  of load at which no engine boosts yet,
and that does not touch the low speeds at which hard load would lug the engine.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from witnessmark.checks.driving.load import Atmosphere, Load
from witnessmark.checks.driving.load_map import LoadMap
from witnessmark.checks.terms import Terms
from witnessmark.model.log import Floats, Mask


@dataclass(frozen=True)
class Coverage:
    """Seconds in each cell a phase should cover.

    `seconds`, `reachable` : shape (len(speed_edges) - 1, len(load_edges) - 1); edges in SI, on
    the same multiples as the load map's. `low`, `top` : the load asked for, from and to;
    `fastest` : the ceiling of engine speed. `counted` : seconds a cell needs.
    """

    speed_edges: Floats
    load_edges: Floats
    seconds: Floats
    reachable: Mask
    low: float
    top: float
    fastest: float
    counted: float

    @cached_property
    def covered(self) -> Mask:
        """Reachable cells that were driven long enough."""
        return self.reachable & (self.seconds >= self.counted)

    @cached_property
    def missing(self) -> Mask:
        """Reachable cells that were not, or too briefly."""
        return self.reachable & ~self.covered

    @property
    def share(self) -> float:
        """Share of the reachable cells that were covered. [-]"""
        whole = int(self.reachable.sum())
        return int(self.covered.sum()) / whole if whole else 0.0


def cover(spread: LoadMap, terms: Terms, load: Load, air: Atmosphere) -> Coverage | None:
    """What the phase should cover; None where it asks for no variety or sets no speed ceiling."""
    ceiling = terms.phase.ceilings.get("engine_speed")
    if "load_cells" not in terms.phase.evidence or ceiling is None:
        return None
    low, top = _loads(terms, load, air)
    fastest = ceiling.value.value
    wide = terms["cell_speed"]
    tall = terms["cell_pressure" if load.channel == "manifold_pressure" else "cell_load"]
    speed_edges = _edges(terms["idle_top"], fastest, wide)
    load_edges = _edges(low, top, tall)
    if len(speed_edges) < 2 or len(load_edges) < 2:
        return None
    seconds = _moved(spread, speed_edges, load_edges)
    lugs = (speed_edges[:-1, None] < terms["lug_speed"] - 1e-9) & (
        load_edges[None, 1:] > terms[_lug(load)] + 1e-9
    )
    return Coverage(speed_edges, load_edges, seconds, ~lugs, low, top, fastest, spread.counted)


def _loads(terms: Terms, load: Load, air: Atmosphere) -> tuple[float, float]:
    """Load from which on and up to which cells are asked for, SI."""
    boost = terms.phase.ceilings.get("boost")
    if load.channel == "manifold_pressure":
        allowed = boost.value.value if boost is not None else 0.0
        return terms["overrun_pressure"], float(np.median(air.values)) + allowed
    low = terms["cover_low_load" if load.channel == "engine_load" else "closed_pedal"]
    return low, 1.0 if boost is None else terms["cover_blind_load"]


def _lug(load: Load) -> str:
    return "lug_pressure" if load.channel == "manifold_pressure" else "lug_load"


def _edges(low: float, high: float, width: float) -> Floats:
    """Edges, on whole multiples of the width, of the cells whose middle lies in between."""
    first = int(np.ceil(low / width - 0.5 - 1e-6))
    last = int(np.floor(high / width - 0.5 + 1e-6))
    return np.arange(first, last + 2).astype(np.float64) * width


def _moved(spread: LoadMap, speed_edges: Floats, load_edges: Floats) -> Floats:
    """The map's seconds in the cells of another grid on the same multiples."""
    seconds = np.zeros((len(speed_edges) - 1, len(load_edges) - 1))
    rows, columns = (
        np.round((mine[:-1] - theirs[0]) / (mine[1] - mine[0])).astype(np.int64)
        for mine, theirs in (
            (speed_edges, spread.speed_edges), (load_edges, spread.load_edges),
        )
    )  # fmt: skip
    inside = [
        (at >= 0) & (at < size)
        for at, size in zip((rows, columns), spread.seconds.shape, strict=True)
    ]
    seconds[np.ix_(*inside)] = spread.seconds[np.ix_(rows[inside[0]], columns[inside[1]])]
    return seconds
