"""The oil circuit from pump to bearings, solved for gallery pressure, many states at once."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.checked import Array
from witnessmark.physics.circuit.circuit import Circuit, State, refuse_impossible
from witnessmark.physics.circuit.filter import element_flow
from witnessmark.physics.circuit.leak import Leak, leak_flow
from witnessmark.physics.circuit.orifice import Orifice, orifice_flow
from witnessmark.physics.circuit.sweep import sweep
from witnessmark.physics.circuit.terms import boil
from witnessmark.physics.numbers import Floats

__all__ = ["Circuit", "Leak", "Orifice", "Solved", "State", "solve"]


@dataclass(frozen=True)
class Solved:
    """Pressures [Pa] over the crankcase and flows [m³/s] of every state, all of one shape.

    gallery and pump (outlet) pressure; flow through the filter into the gallery; relief_flow;
    residual: flow made less flow used, over what the pump displaces [-]; starved: the pump cannot
    fill what the turning crank draws, so the gallery stands empty and each bearing gets the
    same share of its draught. Flows of single leaks and orifices are worked out when asked for.
    """

    circuit: Circuit
    state: State
    gallery: Array
    pump: Array
    flow: Array
    relief_flow: Array
    residual: Array
    starved: NDArray[np.bool_]
    share: Floats = 1.0

    @cached_property
    def leak_flows(self) -> tuple[Array, ...]:
        """Flow of each of circuit.leaks, in their order. [m³/s]"""
        s = self.state
        return tuple(
            self._whole(self.share * leak_flow(leak, self.gallery, s.speed, s.film_viscosity,
                                               s.density))
            for leak in self.circuit.leaks
        )  # fmt: skip

    @cached_property
    def orifice_flows(self) -> tuple[Array, ...]:
        """Flow of each of circuit.orifices, all its holes, in their order. [m³/s]"""
        s = self.state
        return tuple(
            self._whole(orifice_flow(each, self.gallery, s.viscosity, s.density))
            for each in self.circuit.orifices
        )

    @cached_property
    def slip_flow(self) -> Array:
        """Flow that slips back inside the pump. [m³/s]"""
        return self._whole(np.asarray(self.circuit.slip) * self.pump / self.state.viscosity)

    @cached_property
    def bypass_flow(self) -> Array:
        """Flow that goes past the filter element, unfiltered. [m³/s]"""
        c, s = self.circuit, self.state
        through = element_flow(self.flow, s.viscosity, s.density, c.filter_laminar,
                               c.filter_turbulent, c.bypass_opening, c.bypass_gradient)  # fmt: skip
        return self._whole(self.flow - through)

    def _whole(self, numbers: Array) -> Array:
        return np.broadcast_to(numbers, self.gallery.shape)


def solve(
    circuit: Circuit,
    speed: Floats,
    viscosity: Floats,
    density: Floats,
    film_viscosity: Floats,
) -> Solved:
    """Gallery pressure and flows at which the pump delivers just what is used.

    Parameters
    ----------
    circuit : Its numbers broadcast against the states.
    speed : Engine speed, 0 or more. [rev/s]
    viscosity : Dynamic viscosity in pump, filter and orifices. [Pa·s]
    density : Oil density. [kg/m³]
    film_viscosity : Dynamic viscosity in the bearing films. [Pa·s]

    Returns
    -------
    Solved, arrays of the broadcast shape.

    Raises ValueError for numbers no circuit can have. Clearances so wide that pressure never
    builds are no fault: gallery is then small, or 0 and starved.

    Limits: steady flow; no air in the oil, no drain-back, sump never empty.

    Source: sum of flows at each node; derivation in docs/explanation/circuit.md.
    """
    state = State(speed, viscosity, density, film_viscosity)
    refuse_impossible(circuit, state)
    shape = np.broadcast_shapes(*(np.shape(v) for v in (*circuit.numbers(), *state.numbers())))
    terms = boil(circuit, state)
    found = sweep(terms, shape)
    gallery, pump, flow, spilled, left = (v.reshape(shape) for v in vars(found).values())
    residual = np.divide(
        left, np.where(np.asarray(terms.displaced) > 0, terms.displaced, 1.0), out=left
    )
    starved = gallery < 0.0
    share: Floats = 1.0
    if starved.any():
        drawn = np.broadcast_to(terms.draught, shape)
        share = np.ones(shape)
        np.divide(terms.leak * gallery + drawn, drawn, out=share, where=starved)
        np.maximum(gallery, 0.0, out=gallery)
    return Solved(circuit, state, gallery, pump, flow, spilled, residual, starved, share)
