"""Where on speed and load the engine spent its time."""

from dataclasses import dataclass

from witnessmark.model.log import Floats
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
