"""What a bearing lets out, and what a turning crank adds to its feed."""

import math
from dataclasses import dataclass

import numpy as np

from witnessmark.physics.checked import Array
from witnessmark.physics.numbers import Floats


@dataclass(frozen=True)
class Leak:
    """One bearing or a group of them; every number may be an array of sampled builds.

    conductance κ of Q = κ p / µ [m³], for the whole group; head h that adds h ρ n² to the feed
    pressure, n the engine's speed [m²], as feed_head gives it; and a name to show.
    """

    conductance: Floats
    head: Floats = 0.0
    name: str = ""


def feed_head(outlet_radius: Floats, inlet_radius: Floats) -> Array:
    """Centrifugal head of a drilling in a turning shaft, over ρ n².

    Parameters
    ----------
    outlet_radius : Where oil leaves the drilling, from the axis it turns about. [m]
    inlet_radius : Where it enters: the radius of the main journal. [m]

    Returns
    -------
    2 π² (r_out² - r_in²); times density and (rev/s)² it is a pressure. [m²] Below 0 the crank
    holds oil back.

    Limits: drilling full of oil. It runs full only while feed pressure beats 2 π² ρ n² r_in²,
    if it passes through the axis.

    Source: pressure in a fluid turning as a rigid body, dp/dr = ρ ω² r.
    """
    turn = 2 * math.pi**2
    return turn * (np.asarray(outlet_radius, dtype=np.float64) ** 2 - np.square(inlet_radius))


def leak_flow(
    leak: Leak, pressure: Floats, speed: Floats, viscosity: Floats, density: Floats
) -> Array:
    """Flow out of a bearing fed at a pressure.

    Parameters
    ----------
    leak : Its conductance and head; arrays broadcast against the states.
    pressure : Gallery pressure over the crankcase. [Pa]
    speed : Engine speed. [rev/s]
    viscosity : Dynamic viscosity in the film, hotter than the gallery. [Pa·s]
    density : Oil density. [kg/m³]

    Returns
    -------
    κ (p + h ρ n²) / µ, none where the crank holds it all back. [m³/s] Inputs broadcast.

    Limits: laminar; what the shaft's own motion pumps out is part of the film's flow and must
    stand in the conductance or not at all.
    """
    feed = np.asarray(pressure) + leak.head * np.asarray(density) * np.square(speed)
    return np.maximum(feed, 0.0) * leak.conductance / viscosity
