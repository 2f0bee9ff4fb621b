"""Where piston and rod are, and how they move, at every crank angle: exact, no series cut off."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Cylinder:
    """Sizes of one cylinder: bore, stroke, rod (centre to centre) [m], compression_ratio [-]."""

    bore: float
    stroke: float
    rod: float
    compression_ratio: float

    def __post_init__(self) -> None:
        """Refuse a cylinder that cannot turn over."""
        sizes = (self.bore, self.stroke, self.rod)
        if not min(sizes) > 0 or 2 * self.rod <= self.stroke:
            raise ValueError(
                f"Cylinder: bore, stroke and rod {sizes} m found; all must be above 0 and the rod "
                "longer than half the stroke. Check the sizes and their units."
            )
        if not self.compression_ratio > 1:
            raise ValueError(
                f"Cylinder: compression ratio {self.compression_ratio} found; it must be above 1. "
                "Give the whole volume over the clearance volume."
            )

    @property
    def throw(self) -> float:
        """Radius the crank pin turns on: half the stroke. [m]"""
        return self.stroke / 2

    @property
    def area(self) -> float:
        """Area of the piston. [m²]"""
        return float(np.pi / 4 * self.bore**2)

    @property
    def swept(self) -> float:
        """Volume the piston sweeps in one stroke. [m³]"""
        return self.area * self.stroke

    @property
    def clearance(self) -> float:
        """Volume left above the piston at top dead centre. [m³]"""
        return self.swept / (self.compression_ratio - 1)


@dataclass(frozen=True)
class Motion:
    """Piston and rod at each crank angle, for a crank that turns evenly.

    drop : Piston below top dead centre. [m]
    velocity : d drop / d angle. [m/rad]; times angular velocity, m/s.
    acceleration : d² drop / d angle². [m/rad²]; times angular velocity squared, m/s².
    swing : Rod off the cylinder axis, positive when its big end is ahead. [rad]
    swing_rate : d swing / d angle. [-]
    """

    drop: Array
    velocity: Array
    acceleration: Array
    swing: Array
    swing_rate: Array


def cycle_angles(count: int = 720) -> Array:
    """Crank angles of one four-stroke cycle, firing top dead centre at 0.

    Parameters
    ----------
    count : Number of even steps in two turns, a multiple of 4. [-]

    Returns
    -------
    Angles from -2 pi (inclusive) to 2 pi (exclusive), shape (count,). [rad]
    """
    if count < 8 or count % 4:
        raise ValueError(
            f"Cycle: {count} steps found; a multiple of 4, 8 or more, was wanted so that dead "
            "centres fall on steps. Use 720 for one step a degree."
        )
    return np.asarray((np.arange(count) - count // 2) * (4 * np.pi / count))


def slider_crank(angle: ArrayLike, cylinder: Cylinder) -> Motion:
    """Motion of piston and rod.

    Parameters
    ----------
    angle : Crank angle after top dead centre, any shape. [rad]
    cylinder : Sizes.

    Returns
    -------
    Motion, arrays of the shape of `angle`. Exact.

    Limits: pin axis and cylinder axis cross the crank axis (no offset); rigid parts.
    Source: geometry; Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.5 and 2.11.
    """
    theta = np.asarray(angle, dtype=float)
    a, l = cylinder.throw, cylinder.rod  # noqa: E741 - the book's letter
    sin, cos = np.sin(theta), np.cos(theta)
    reach = np.sqrt(l**2 - (a * sin) ** 2)  # rod seen along the cylinder axis
    ratio = a * cos / reach  # rate at which the rod swings
    velocity = a * sin * (1 + ratio)
    ratio_rate = a * sin * (ratio**2 - 1) / reach
    return Motion(
        drop=a * (1 - cos) + l - reach,
        velocity=velocity,
        acceleration=a * cos * (1 + ratio) + a * sin * ratio_rate,
        swing=np.arcsin(a * sin / l),
        swing_rate=ratio,
    )


def volume(angle: ArrayLike, cylinder: Cylinder) -> Array:
    """Gas volume above the piston.

    Parameters
    ----------
    angle : Crank angle after top dead centre, any shape. [rad]
    cylinder : Sizes.

    Returns
    -------
    Volume, shape of `angle`. [m³]

    Source: Heywood (1988), eq. 2.4.
    """
    return cylinder.clearance + cylinder.area * slider_crank(angle, cylinder).drop
