"""The axes the bearing tables stand on, shared by the maker and the readers.

Eccentricity e stands as -log(1 - e), so that the last thousandth of the clearance has its share
of nodes; length over diameter as its logarithm; the tangent of half the angle from the thinnest
film to the load is stretched by ((1 + e)/(1 - e))^(1/3), because close to contact mobility
changes fastest where the load points at the wall.
"""

from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
TABLES = Path(__file__).parent / "tables"
ECCENTRICITY_END = 0.9995
SHORTEST, LONGEST, LONGEST_MOBILE = 0.05, 4.0, 2.5  # length over diameter the tables answer for
STEADY_RATIOS = tuple(2.0 ** (k / 2) for k in range(-9, 5))  # 0.044 .. 4; infinite stands apart
MOBILITY_RATIOS = STEADY_RATIOS[:-1]


def eccentricity_axis(count: int) -> Floats:
    """Even nodes of -log(1 - e) from a centred journal to ECCENTRICITY_END, shape (count,)."""
    return np.linspace(0.0, -np.log1p(-ECCENTRICITY_END), count)


def crowded_angle(angle: Floats, eccentricity: ArrayLike) -> Floats:
    """Stretched angle of a load direction, both in 0 .. pi. [rad]"""
    return 2 * np.arctan2(_stretch(eccentricity) * np.sin(angle / 2), np.cos(angle / 2))


def true_angle(crowded: Floats, eccentricity: ArrayLike) -> Floats:
    """Inverse of `crowded_angle`. [rad]"""
    return 2 * np.arctan2(np.sin(crowded / 2), _stretch(eccentricity) * np.cos(crowded / 2))


def _stretch(eccentricity: ArrayLike) -> Floats:
    e = np.asarray(eccentricity, dtype=float)
    return np.asarray(np.cbrt((1 + e) / (1 - e)))
