"""Relief valves: how much oil they spill at a pressure."""

import math

import numpy as np

from witnessmark.physics.checked import Array
from witnessmark.physics.numbers import Floats


def relief_flow(
    pressure: Floats, opening: Floats, gradient: Floats, curtain: Floats = 0.0
) -> Array:
    """Flow a relief valve spills, by opening pressure and gradient.

    Parameters
    ----------
    pressure : Pressure before the valve over the pressure behind it. [Pa]
    opening : Pressure at which it begins to open, above 0; infinite: never opens. [Pa]
    gradient : How far pressure climbs for each unit of flow spilled, just open. [Pa/(m³/s)]
    curtain : How far the flow also grows with the root of the pressure that drives it: 0 a
        straight line, 1 a plain valve. [-]

    Returns
    -------
    (p - opening) / gradient above the opening, else none, times 1 + curtain (sqrt(p / opening)
    - 1). [m³/s] Inputs broadcast.

    Limits: no plateau: a valve that spills more stands higher. No friction of the plunger (a
    sticking valve opens late and closes late) and no end of travel.

    Source: definition of the two numbers; curtain 1 is relief_flow_by_lift, exactly, and less
    than 1 stands for flow forces that push the valve back as it opens.
    """
    spilled = np.maximum(np.asarray(pressure) - opening, 0.0) / gradient
    if not np.any(curtain):
        return spilled
    root = np.sqrt(np.maximum(pressure, 0.0) / np.asarray(opening))
    return np.asarray(spilled * (1 + np.asarray(curtain) * (root - 1)))


def relief_held_back(drag: Floats, opening: Floats, viscosity: Floats, density: Floats) -> Array:
    """How much steeper the gradient of a relief valve is in thick oil.

    Parameters
    ----------
    drag : Loss number of laminar flow times discharge coefficient, over the gap. [1/m]
    opening : Pressure at which the valve begins to open. [Pa]
    viscosity, density : Of the oil in it. [Pa·s], [kg/m³]

    Returns
    -------
    1 + drag µ / sqrt(2 ρ p), at the opening pressure. [-] Inputs broadcast.

    Limits: one gap for all lifts, taken at the opening pressure; a measure of how strongly the
    valve feels viscosity, to be learned from the engine's own log.

    Source: 1/Cd = 1/Cdu + K/Re, first terms of Lichtarowicz et al. (1965), Re = d sqrt(2 ρ p)/µ.
    """
    reach = np.sqrt(2 * np.asarray(density) * np.maximum(opening, 1.0))
    return np.asarray(1 + np.asarray(drag) * viscosity / reach)


def relief_flow_by_lift(
    pressure: Floats,
    density: Floats,
    *,
    seat_diameter: Floats,
    spring_force: Floats,
    spring_rate: Floats,
    seat_angle: float = math.pi / 2,
    discharge: Floats = 0.6,
) -> Array:
    """Flow a relief valve spills, from its spring and its seat.

    Parameters
    ----------
    pressure : Pressure on the seat over the pressure behind it. [Pa]
    density : Oil density. [kg/m³]
    seat_diameter : Diameter the pressure acts on. [m]
    spring_force : Spring force with the valve shut. [N]
    spring_rate : Spring rate. [N/m]
    seat_angle : Half angle of the cone, π/2 for a flat one. [rad]
    discharge : Discharge coefficient of the gap. [-]

    Returns
    -------
    Cd a sqrt(2 p / ρ), a = π d x sin(angle) up to the seat's own area, x = (p A - F) / k.
    [m³/s] Inputs broadcast.

    Limits: no flow force (it closes the valve and steepens the gradient); fixed discharge.

    Source: force balance and curtain area, usual textbook form; from memory.
    """
    p = np.asarray(pressure, dtype=np.float64)
    seat = math.pi / 4 * np.asarray(seat_diameter) ** 2
    lift = np.maximum(p * seat - spring_force, 0.0) / spring_rate
    curtain = np.minimum(math.pi * np.asarray(seat_diameter) * lift * math.sin(seat_angle), seat)
    return np.asarray(discharge * curtain * np.sqrt(2 * np.maximum(p, 0.0) / density))


def opening_and_gradient(
    density: Floats,
    *,
    seat_diameter: Floats,
    spring_force: Floats,
    spring_rate: Floats,
    seat_angle: float = math.pi / 2,
    discharge: Floats = 0.6,
) -> tuple[Array, Array]:
    """Opening pressure and first gradient of the valve that relief_flow_by_lift describes.

    Parameters
    ----------
    As relief_flow_by_lift.

    Returns
    -------
    Opening F/A [Pa] and 1 / (dQ/dp) just above it [Pa/(m³/s)]. Inputs broadcast.

    Source: derivative of relief_flow_by_lift at its opening.
    """
    diameter = np.asarray(seat_diameter, dtype=np.float64)
    seat = math.pi / 4 * diameter**2
    opening = np.asarray(spring_force) / seat
    speed = np.sqrt(2 * opening / density)
    slope = discharge * math.pi * diameter * math.sin(seat_angle) * seat / spring_rate * speed
    return np.asarray(opening), np.asarray(1 / slope)
