"""The equations of the circuit, one state or many: what is made, spilled and used."""

import numpy as np

from witnessmark.physics.checked import Array
from witnessmark.physics.circuit.circuit import Circuit, State
from witnessmark.physics.circuit.filter import filter_loss, pressure_loss
from witnessmark.physics.circuit.leak import leak_flow
from witnessmark.physics.circuit.orifice import orifice_flow
from witnessmark.physics.circuit.pump import pump_flow
from witnessmark.physics.circuit.valve import relief_flow, relief_held_back
from witnessmark.physics.numbers import Floats


def demand(circuit: Circuit, gallery: Floats, state: State) -> Array:
    """Flow all bearings and feeds take at a gallery pressure.

    Parameters
    ----------
    circuit, state : Arrays broadcast.
    gallery : Gallery pressure. Below 0 it stands for an empty gallery, in which bearings that
        draw oil by the crank's own head share what there is. [Pa]

    Returns
    -------
    Sum of leak_flow and orifice_flow, never falling with pressure. [m³/s]
    """
    p = np.asarray(gallery, dtype=np.float64)
    full, empty = np.maximum(p, 0.0), np.minimum(p, 0.0)
    taken = np.zeros_like(p)
    for leak in circuit.leaks:
        taken = taken + leak_flow(leak, full, state.speed, state.film_viscosity, state.density)
        if np.all(np.asarray(leak.head) >= 0):
            taken = taken + leak.conductance * empty / state.film_viscosity
    taken = np.maximum(taken, 0.0)
    for hole in circuit.orifices:
        taken = taken + orifice_flow(hole, full, state.viscosity, state.density)
    return taken


def pump_pressure(circuit: Circuit, gallery: Floats, flow: Floats, state: State) -> Array:
    """Pressure at the pump's outlet that pushes a flow into a gallery under pressure.

    Parameters
    ----------
    circuit, state : Arrays broadcast.
    gallery : Gallery pressure, 0 where it is below. [Pa]
    flow : Flow through filter, cooler and passage. [m³/s]

    Returns
    -------
    Gallery pressure plus all losses on the way. [Pa]
    """
    c, s = circuit, state
    loss = filter_loss(flow, s.viscosity, s.density, c.filter_laminar, c.filter_turbulent,
                       c.bypass_opening, c.bypass_gradient)  # fmt: skip
    laminar = np.asarray(c.cooler_laminar) + c.passage_laminar
    turbulent = np.asarray(c.cooler_turbulent) + c.passage_turbulent
    rest = pressure_loss(flow, s.viscosity, s.density, laminar, turbulent)
    return np.asarray(np.maximum(gallery, 0.0) + loss + rest)


def balance(circuit: Circuit, gallery: Floats, state: State) -> tuple[Array, Array, Array, Array]:
    """Flows and pump pressure that follow from a gallery pressure, and what is left over.

    Parameters
    ----------
    circuit, state : Arrays broadcast.
    gallery : Gallery pressure. [Pa]

    Returns
    -------
    left : pump delivery less relief less demand; falls as gallery rises, 0 at the answer. [m³/s]
    flow : through the filter. [m³/s]
    spilled : by the relief valve. [m³/s]
    pump : pressure at its outlet. [Pa]
    """
    c, s = circuit, state
    taken = demand(c, gallery, s)
    held = relief_held_back(c.relief_drag, c.relief_opening, s.viscosity, s.density)
    valve = c.relief_opening, c.relief_gradient * held, c.relief_curtain
    if c.relief_after_filter:
        spilled = relief_flow(np.maximum(gallery, 0.0), *valve)
        flow = taken + spilled
        pump = pump_pressure(c, gallery, flow, s)
    else:
        flow = taken
        pump = pump_pressure(c, gallery, flow, s)
        spilled = relief_flow(pump, *valve)
    turns = np.asarray(c.drive_ratio) * s.speed
    made = pump_flow(np.asarray(c.pump_displacement), turns, pump, np.asarray(s.viscosity),
                     np.asarray(c.slip))  # fmt: skip
    return made - spilled - taken, flow, spilled, pump
