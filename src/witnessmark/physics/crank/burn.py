"""What burns in a cylinder: the fresh charge it traps, the heat in it, and when that comes free."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.physics.crank.motion import Cylinder, volume

Array = NDArray[np.float64]
GAS_CONSTANT = 287.05  # J/(kg K), dry air, ISO 2533:1975


@dataclass(frozen=True)
class Burn:
    """One stage of a burn by Wiebe's law; a diesel takes two (premixed, then diffusion).

    start, duration : Crank angle after firing top dead centre, and how long. [rad]
    form : m in 1 - exp(-a x^(m+1)). [-]
    completeness : a; 6.908 burns 99.9 % within the duration. [-]
    share : Part of the heat that comes free in this stage. [-]
    Numbers, or arrays of states that broadcast.
    """

    start: ArrayLike
    duration: ArrayLike
    form: ArrayLike
    completeness: ArrayLike
    share: ArrayLike = 1.0


@dataclass(frozen=True)
class Fuel:
    """heating_value [J/kg], air_ratio (stoichiometric mass of air over fuel) [-].

    inducted : True when the fuel comes in with the air (petrol into the port), False when it is
    injected after the valves have closed (diesel, direct petrol).
    """

    heating_value: float
    air_ratio: float
    inducted: bool


def wiebe(angle: ArrayLike, burn: Burn) -> Array:
    """Burnt fraction of one stage by Wiebe's law, as the law stands.

    Parameters
    ----------
    angle : Crank angle after firing top dead centre, shape (n,). [rad]
    burn : Stage; its numbers of shape S.

    Returns
    -------
    1 - exp(-a x^(m+1)), x = (angle - start) / duration, held at x = 1; shape S + (n,). [-]

    Source: I. I. Wiebe (1956); Heywood (1988), eq. 9.27; from memory.
    """
    start, duration, form, completeness = (
        np.asarray(v, dtype=float)[..., None]
        for v in (burn.start, burn.duration, burn.form, burn.completeness)
    )
    if not np.all(duration > 0):
        raise ValueError(
            f"Burn: duration {duration.min()} rad found; it must be above 0. "
            "Give how long the burn lasts in crank angle."
        )
    x = np.clip((np.asarray(angle, dtype=float) - start) / duration, 0, 1)
    return np.asarray(-np.expm1(-completeness * x ** (form + 1)))


def burnt_fraction(angle: ArrayLike, burns: Sequence[Burn]) -> Array:
    """Share of the heat released so far, all stages together: 0 before, exactly 1 at the end.

    Parameters
    ----------
    angle : Crank angle after firing top dead centre, shape (n,). [rad]
    burns : Stages; their shares must add up to 1.

    Returns
    -------
    Shape S + (n,). [-] Each stage is scaled by 1 - exp(-a), so that all heat is released.
    """
    total = sum(np.asarray(burn.share, dtype=float) for burn in burns)
    if not np.allclose(total, 1, rtol=0, atol=1e-9):
        raise ValueError(
            f"Burn: shares adding up to {total} found; they must add up to 1. "
            "Share the heat out among the stages."
        )
    return np.asarray(
        sum(
            (np.asarray(burn.share) / -np.expm1(-np.asarray(burn.completeness, dtype=float)))[
                ..., None
            ]
            * wiebe(angle, burn)
            for burn in burns
        )
    )


def fresh_charge(
    cylinder: Cylinder,
    closes: ArrayLike,
    intake_pressure: ArrayLike,
    intake_temperature: ArrayLike,
    exhaust_pressure: ArrayLike,
    heat_ratio: float = 1.4,
) -> Array:
    """Fresh mass an ideal four-stroke traps: air, and fuel where it comes in with the air.

    Parameters
    ----------
    cylinder : Sizes.
    closes : Crank angle at which the intake closes, firing top dead centre 0, < 0. [rad]
    intake_pressure, exhaust_pressure : In the manifolds, absolute. [Pa]
    intake_temperature : Of the charge as it enters. [K]
    heat_ratio : cp/cv of the charge. [-]

    Returns
    -------
    Fresh mass per cycle. [kg] Inputs broadcast.

    Limits: slow, tight, no valve loss, no ram, no heat from walls: an engine takes in some 5 to
    20 % less, a tuned one at its best speed may take in more.

    Source: first law over the intake stroke; Heywood (1988), eq. 6.2.
    """
    inlet, exhaust = np.asarray(intake_pressure, float), np.asarray(exhaust_pressure, float)
    kept, gamma = cylinder.clearance, heat_ratio
    trapped = gamma * inlet * volume(closes, cylinder)
    mass = trapped - kept * (exhaust + (gamma - 1) * inlet)
    mass = mass / (gamma * GAS_CONSTANT * np.asarray(intake_temperature, float))
    if not np.all(mass > 0):
        raise ValueError(
            f"Charge: fresh mass {np.min(mass):.2g} kg found; it must be above 0. Intake pressure "
            "is too low for this exhaust pressure; check that both are absolute."
        )
    return np.asarray(mass)


def charge_heat(fresh: ArrayLike, air_to_fuel: ArrayLike, fuel: Fuel) -> Array:
    """Heat in one trapped charge.

    Parameters
    ----------
    fresh : Fresh mass trapped. [kg]
    air_to_fuel : Lambda: air over the air the fuel needs, above 0. [-]
    fuel : Fuel.

    Returns
    -------
    Heat per cycle. [J] Of a rich charge only what its air can burn. Inputs broadcast.

    Limits: complete burn to CO2 and water; no dissociation (a few per cent at full load).
    """
    excess = np.asarray(air_to_fuel, dtype=float)
    if not np.all(excess > 0):
        raise ValueError(
            f"Charge: lambda {excess.min()} found; it must be above 0. Use 1 for just enough air."
        )
    per_air = 1 / (excess * fuel.air_ratio)
    air = np.asarray(fresh, dtype=float) / (1 + per_air if fuel.inducted else 1.0)
    return np.asarray(air * per_air * fuel.heating_value * np.minimum(excess, 1.0))
