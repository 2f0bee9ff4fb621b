"""What the rods and the crank press on their bearings with, over the whole cycle.

Frames. All vectors are (along, across): the first axis, and the one a quarter turn ahead of it in
the sense of rotation.
    space : first axis from crank to piston (a rod), or the engine's own axis (a main bearing).
    rod   : first axis along the rod, from big end to little end.
    crank : first axis from the crank's centre out to the crank pin.
The force is always the one on the journal: what pushes it towards its shell.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.physics.crank.layout import Layout
from witnessmark.physics.crank.motion import Cylinder, slider_crank

Array = NDArray[np.float64]
Frame = Literal["space", "rod", "crank"]


@dataclass(frozen=True)
class Masses:
    """Moving parts of one cylinder and one throw.

    reciprocating : Piston, rings, pin and the little end's share of the rod. [kg]
    rotating : The big end's share of the rod. [kg]
    throw_moment : Mass times radius of the bare crank throw (pin and cheeks). [kg m]
    counterweight : Share of all that turns on a throw (bare throw and big ends) that its
        counterweights take off: 0 none, 1 all. [-] Above 1 balances part of the pistons too.
    """

    reciprocating: float
    rotating: float
    throw_moment: float = 0.0
    counterweight: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a part that weighs less than nothing."""
        parts = (self.reciprocating, self.rotating, self.throw_moment, self.counterweight)
        if not min(parts) >= 0:
            raise ValueError(
                f"Masses: {parts} found; masses, moment and counterweight share must not be "
                "below 0. Check the weights and their units."
            )


@dataclass(frozen=True)
class BearingLoad:
    """Load on journals over a cycle.

    angle : Crank angle, even steps over the whole period, shape (n,). [rad]
    force : On the journal, shape S + (n, 2). [N]
    turning : Mean angular velocity of journal and sleeve in the frame of `force`, over the
        crank's; shape (n,). [-] The film is made by this mean.
    """

    angle: Array
    force: Array
    turning: Array


def rod_load(
    angle: Array,
    cylinder: Cylinder,
    masses: Masses,
    gas_pressure: ArrayLike,
    speed: ArrayLike,
    frame: Frame = "rod",
) -> BearingLoad:
    """Load of a rod's big end on its crank pin.

    Parameters
    ----------
    angle : Crank angle, firing top dead centre at 0, shape (n,). [rad]
    cylinder, masses : Sizes and moving parts.
    gas_pressure : In the cylinder less the crankcase's, shape S + (n,). [Pa]
    speed : Engine speed, shape S. [rev/s]
    frame : Axes of the answer. The shell swings with the rod, the pin turns with the crank.

    Returns
    -------
    BearingLoad, force of shape S + (n, 2).

    Limits: even turning; no pin offset; rod as two point masses (its own turning inertia differs
    by some 5 to 15 % from that, a few per cent of the side load); no friction.
    Source: Heywood (1988), ch. 15; C. F. Taylor (1968), vol. 2; statics.
    """
    force = _on_pin(angle, cylinder, masses, gas_pressure, speed)
    motion = slider_crank(angle, cylinder)
    # The rod leans back as its big end goes ahead: its own axis stands at -swing.
    axis = {"space": 0 * angle, "rod": -motion.swing, "crank": angle}[frame]
    rate = {"space": 0 * angle, "rod": -motion.swing_rate, "crank": 1 + 0 * angle}[frame]
    return BearingLoad(
        angle=angle,
        force=turned(force, -axis),
        turning=np.asarray((1 - motion.swing_rate) / 2 - rate),
    )


def throw_loads(
    angle: Array,
    cylinder: Cylinder,
    masses: Masses,
    layout: Layout,
    gas_pressure: ArrayLike,
    speed: ArrayLike,
) -> Array:
    """Load every throw puts on the crank's main journals: rods, throw and counterweights.

    Parameters
    ----------
    gas_pressure : Of one cylinder over its cycle, less the crankcase's, shape S + (n,). [Pa]
        All cylinders alike; each has it at its own time.
    angle, cylinder, masses, layout, speed : As `rod_load` and `main_loads`.

    Returns
    -------
    Force in the engine's own axes, shape S + (throws, n, 2). [N]
    """
    pin = _on_pin(angle, cylinder, masses, gas_pressure, speed)
    square = (2 * np.pi * np.asarray(speed, dtype=float)[..., None]) ** 2
    count = layout.sharing.shape[1]
    total = np.zeros((*pin.shape[:-2], count, *pin.shape[-2:]))
    for fires, bank, throw in zip(layout.fires, layout.bank, layout.throw, strict=True):
        bare = masses.throw_moment / layout.throw.count(throw)
        moment = bare - masses.counterweight * (bare + masses.rotating * cylinder.throw)
        pull = moment * square * np.ones(len(angle))
        own = turned(np.stack([pull, 0 * pull], axis=-1), angle)
        total[..., throw, :, :] += turned(_later(angle, pin + own, fires), bank)
    return total


def main_loads(
    angle: Array,
    cylinder: Cylinder,
    masses: Masses,
    layout: Layout,
    gas_pressure: ArrayLike,
    speed: ArrayLike,
) -> BearingLoad:
    """Load on every main bearing's journal, in the engine's own axes.

    Parameters
    ----------
    angle : Crank angle after the first cylinder fires, shape (n,). [rad]
    cylinder, masses, layout : Sizes, moving parts, who sits where.
    gas_pressure : Of one cylinder over its cycle, less the crankcase's, shape S + (n,). [Pa]
    speed : Engine speed, shape S. [rev/s]

    Returns
    -------
    BearingLoad, force of shape S + (mains, n, 2). Shells stand still, so turning is 1/2.

    Limits: each throw rests on its own mains only; crank weight, belts, flywheel and the bending
    of crank and block left out. Real sharing differs, most at the middle bearings.
    Source: statically determinate scheme, as `layout.half_and_half`.
    """
    throws = throw_loads(angle, cylinder, masses, layout, gas_pressure, speed)
    force = np.einsum("mt,...tnk->...mnk", layout.sharing, throws)
    return BearingLoad(angle, force, np.full(len(angle), 0.5))


def turned(force: Array, by: ArrayLike) -> Array:
    """Vectors turned in the sense of rotation.

    Parameters
    ----------
    force : Shape S + (n, 2).
    by : Angle, shape (n,) or a number. [rad]

    Returns
    -------
    Shape S + (n, 2).
    """
    sin, cos = np.sin(by), np.cos(by)
    along, across = force[..., 0], force[..., 1]
    return np.stack([cos * along - sin * across, sin * along + cos * across], axis=-1)


def _on_pin(
    angle: Array, cylinder: Cylinder, masses: Masses, gas_pressure: ArrayLike, speed: ArrayLike
) -> Array:
    """Force of the rod on its crank pin in the cylinder's axes, shape S + (n, 2). [N]"""
    pressure = np.asarray(gas_pressure, dtype=float)
    if pressure.shape[-1:] != angle.shape:
        raise ValueError(
            f"Loads: gas pressure of shape {pressure.shape} found; its last axis must be the "
            f"{len(angle)} crank angles. Give one pressure for each angle."
        )
    rate = 2 * np.pi * np.asarray(speed, dtype=float)[..., None]
    motion = slider_crank(angle, cylinder)
    # Gas and inertia push the pin down; the rod, leaning, pushes it sideways as well.
    inertia = masses.reciprocating * motion.acceleration * rate**2
    down = pressure * cylinder.area - inertia
    out = masses.rotating * cylinder.throw * rate**2
    along = -down + out * np.cos(angle)
    across = down * np.tan(motion.swing) + out * np.sin(angle)
    return np.stack([along, across], axis=-1)


def _later(angle: Array, values: Array, by: float) -> Array:
    """A periodic course S + (n, 2) shifted to a later crank angle."""
    steps = by / (angle[1] - angle[0])
    whole = int(np.floor(steps + 1e-9))
    part = steps - whole
    moved: Array = np.roll(values, whole, axis=-2)
    if abs(part) < 1e-6:
        return moved
    return np.asarray((1 - part) * moved + part * np.roll(moved, 1, axis=-2))
