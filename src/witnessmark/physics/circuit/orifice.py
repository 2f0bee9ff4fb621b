"""Drilled orifices: piston jets, turbo, cam and tensioner feeds."""

from dataclasses import dataclass

import numpy as np

from witnessmark.physics.checked import Array, checked
from witnessmark.physics.numbers import Floats

SHORTEST, LONGEST = 2.0, 10.0  # length over diameter the formula was measured for
LOWEST = 10.0  # hydraulic Reynolds number it was measured down to


@dataclass(frozen=True)
class Orifice:
    """One kind of drilled feed; every number may be an array of sampled builds.

    area of one hole [m²], length_ratio bore length over diameter [-], count of equal holes [-],
    opening pressure of the valve before it [Pa], 0 for always open, and a name to show.
    """

    area: Floats
    length_ratio: Floats = 4.0
    count: Floats = 1.0
    opening: Floats = 0.0
    name: str = ""


def discharge_coefficient(reynolds: Floats, length_ratio: Floats) -> Array:
    """Discharge coefficient of a long sharp-edged orifice.

    Parameters
    ----------
    reynolds : Hydraulic Reynolds number d sqrt(2 Δp ρ) / µ, above 0. [-]
    length_ratio : Length over diameter, 2 to 10. [-]

    Returns
    -------
    Cd of Q = Cd A sqrt(2 Δp / ρ). [-] Inputs broadcast.

    Limits: measured for 10 < Re < 2e4, no cavitation. Below 10 ours passes smoothly into creeping
    flow, Cd = Re / (12π + 64 l/d). Above 2e4 the formula is carried on; it is nearly flat.

    Source: Lichtarowicz, Duggins and Markland, J. Mech. Eng. Sci. 7 (1965) 210; from memory.
    Creeping flow: Hagen-Poiseuille plus Sampson (1891), as Dagan et al. (1982) join them.
    """
    ratio = checked("orifice length over diameter", length_ratio, "the formula was measured for "
                    "2 to 10 only", at_least=SHORTEST, at_most=LONGEST)  # fmt: skip
    re = checked("Reynolds number", reynolds, "it follows from pressure over 0", above=0.0)
    turbulent, laminar, dip, creeping = coefficients(ratio)
    inverse = turbulent + laminar / re - dip / (1 + 7.5 * np.log10(0.00015 * re) ** 2)
    inverse += creeping / re * np.maximum(1 - re / LOWEST, 0.0) ** 2
    return np.asarray(1 / inverse)


def coefficients(length_ratio: Array) -> tuple[Array, Array, Array, Array]:
    """Constants of 1/Cd that depend on the length ratio alone: u, e, dip, creeping. [-]

    1/Cd = u + e/Re - dip / (1 + 7.5 log10(0.00015 Re)²), plus creeping/Re (1 - Re/10)² below 10.
    """
    ratio = length_ratio
    laminar = 20 * (1 + 2.25 * ratio)
    creeping = 12 * np.pi + 64 * ratio - laminar
    return 1 / (0.827 - 0.0085 * ratio), laminar, 0.005 * ratio, creeping


def orifice_flow(orifice: Orifice, pressure: Floats, viscosity: Floats, density: Floats) -> Array:
    """Flow through all holes of one kind of feed.

    Parameters
    ----------
    orifice : Its sizes; arrays broadcast against the states.
    pressure : Gallery pressure over the crankcase. [Pa]
    viscosity : Dynamic viscosity in the orifice. [Pa·s]
    density : Oil density. [kg/m³]

    Returns
    -------
    N Cd A sqrt(2 Δp / ρ) with Δp = p - opening, none below the opening. [m³/s] Inputs broadcast.

    Limits: the valve before a jet is a ball on a spring that keeps taking its opening pressure
    once open; a plunger that snaps full open lets more through just above it.
    """
    area = np.asarray(orifice.area, dtype=np.float64)
    fall = np.maximum(np.asarray(pressure) - orifice.opening, 0.0)
    diameter = np.sqrt(4 * area / np.pi)
    # Cd/Re is finite at no pressure; a least Re keeps that limit without a division by zero.
    reynolds = np.maximum(diameter * np.sqrt(2 * fall * density) / viscosity, 1e-30)
    velocity = reynolds * viscosity / (diameter * density)
    flow = orifice.count * area * discharge_coefficient(reynolds, orifice.length_ratio) * velocity
    return np.asarray(np.where(fall > 0, flow, 0.0))
