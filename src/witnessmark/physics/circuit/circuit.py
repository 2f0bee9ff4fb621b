"""What an oil circuit is made of, and what a state of the engine is."""

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np

from witnessmark.physics.checked import checked
from witnessmark.physics.circuit.leak import Leak
from witnessmark.physics.circuit.orifice import LONGEST, SHORTEST, Orifice
from witnessmark.physics.numbers import Floats

LOOK = "look at the number and its unit"


@dataclass(frozen=True)
class Circuit:
    """An engine's oil circuit; every number may be an array of sampled builds.

    pump_displacement [m³ per turn of the pump], drive_ratio pump turns per crank turn [-],
    slip [m³], relief_opening [Pa] and relief_gradient [Pa/(m³/s)], measured at the pump's outlet
    unless relief_after_filter, its drag [1/m] in thick oil and how far it spills as a
    curtain [-] (valve.relief_flow); filter, cooler and passage losses a [1/m³] and b [1/m⁴];
    bypass_opening [Pa] and bypass_gradient [Pa/(m³/s)] of the filter; leaks and orifices.
    Order of flow: pump, relief, filter, cooler, passage, (relief after filter), gallery.
    """

    pump_displacement: Floats
    drive_ratio: Floats = 1.0
    slip: Floats = 0.0
    relief_opening: Floats = np.inf
    relief_gradient: Floats = 1.0
    relief_drag: Floats = 0.0
    relief_curtain: Floats = 0.0
    filter_laminar: Floats = 0.0
    filter_turbulent: Floats = 0.0
    bypass_opening: Floats = np.inf
    bypass_gradient: Floats = 1.0
    cooler_laminar: Floats = 0.0
    cooler_turbulent: Floats = 0.0
    passage_laminar: Floats = 0.0
    passage_turbulent: Floats = 0.0
    leaks: tuple[Leak, ...] = ()
    orifices: tuple[Orifice, ...] = ()
    relief_after_filter: bool = False

    def numbers(self) -> Iterator[Floats]:
        """Every number of the circuit, for its shape."""
        for name in _SIZES:
            yield getattr(self, name)
        for leak in self.leaks:
            yield from (leak.conductance, leak.head)
        for hole in self.orifices:
            yield from (hole.area, hole.length_ratio, hole.count, hole.opening)


@dataclass(frozen=True)
class State:
    """What the engine does and how thick its oil is; all broadcast against the circuit.

    speed of the crank [rev/s], viscosity in pump, filter and orifices [Pa·s], density [kg/m³],
    film_viscosity in the bearings [Pa·s].
    """

    speed: Floats
    viscosity: Floats
    density: Floats
    film_viscosity: Floats

    def numbers(self) -> Iterator[Floats]:
        """Every number of the state, for its shape."""
        yield from (getattr(self, f.name) for f in fields(self))


# 0 or more, unless named here.
_SIZES = [f.name for f in fields(Circuit) if f.type in (Floats, "Floats")]
_ABOVE_ZERO = {"pump_displacement", "drive_ratio", "relief_gradient", "bypass_gradient"}
_ENDLESS = {"relief_opening", "bypass_opening"}


def refuse_impossible(circuit: Circuit, state: State) -> None:
    """Refuse a circuit or state no engine can have.

    Parameters
    ----------
    circuit, state : What solve() was given.

    Raises ValueError for the first number that is not finite, negative, or 0 where it may not be.
    """
    for name in _SIZES:
        if name in _ABOVE_ZERO:
            checked(_words(name), getattr(circuit, name), LOOK, above=0.0)
        else:
            endless = name in _ENDLESS
            checked(_words(name), getattr(circuit, name), LOOK, at_least=0.0, endless=endless)
    for leak in circuit.leaks:
        of = leak.name or "a leak"
        checked(f"conductance of {of}", leak.conductance, "look at its clearance", at_least=0.0)
        checked(f"head of {of}", leak.head, LOOK)
    for hole in circuit.orifices:
        of = hole.name or "an orifice"
        checked(f"area of {of}", hole.area, LOOK, above=0.0)
        checked(f"count of {of}", hole.count, LOOK, at_least=0.0)
        checked(f"opening pressure of {of}", hole.opening, LOOK, at_least=0.0, endless=True)
        ratio, remedy = hole.length_ratio, "take the nearer end of what was ever measured"
        checked(f"length over diameter of {of}", ratio, remedy, at_least=SHORTEST, at_most=LONGEST)
    if np.any(circuit.relief_curtain):
        checked("relief curtain", circuit.relief_curtain, LOOK, at_least=0.0, at_most=1.0)
        checked("relief opening", circuit.relief_opening, LOOK, above=0.0, endless=True)
    checked("engine speed", state.speed, LOOK, at_least=0.0)
    for name in ("viscosity", "density", "film_viscosity"):
        checked(_words(name), getattr(state, name), LOOK, above=0.0)
    ways = np.isfinite(circuit.relief_opening) + np.asarray(circuit.slip, dtype=np.float64)
    ways = ways + sum(leak.conductance for leak in circuit.leaks)
    ways = ways + sum(hole.count * np.isfinite(hole.opening) for hole in circuit.orifices)
    checked("oil circuit", ways, "give it a bearing, a feed, a relief valve or slip: a pump with "
            "no way out for its oil builds pressure without end", above=0.0)  # fmt: skip


def _words(name: str) -> str:
    return name.replace("_", " ")
