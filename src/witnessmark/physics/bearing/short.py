"""Short-bearing limits (Ocvirk, Booker). They overstate capacity: never clear an engine on them.

At engine proportions (L/D 0.25 to 0.5) and an eccentricity of 0.9 a real film of finite length
carries 1/1.4 to 1/2.4 of what stands here. These are the limits `steady` and `mobility` must
tend to as L/D -> 0, and the yardstick their tables are written in; nothing else.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def short_sommerfeld(eccentricity: ArrayLike, length_ratio: ArrayLike) -> Floats:
    """Sommerfeld number of a short bearing; a limit that overstates capacity.

    Parameters
    ----------
    eccentricity : Journal offset over radial clearance, 0 < e < 1. [-]
    length_ratio : Bearing length over diameter, > 0. [-]

    Returns
    -------
    S = (R/c)² µ N L D / W with N in rev/s, W the load. [-] Inputs broadcast.

    Limits: half film, one viscosity, L/D -> 0. Against the finite film S reads low by 2.6 % at
    L/D = 0.25, e = 0.2 and by 58 % at L/D = 0.5, e = 0.9: never clear an engine on it.

    Source: F. W. Ocvirk, NACA TN 2808 (1952); DuBois and Ocvirk, NACA Report 1157 (1953).
    """
    e, ratio = _checked(eccentricity, length_ratio)
    flow = np.sqrt(np.pi**2 * (1 - e**2) + 16 * e**2)
    return np.asarray((1 - e**2) ** 2 / (np.pi * e * flow * ratio**2))


def short_attitude(eccentricity: ArrayLike) -> Floats:
    """Angle from the load line to the thinnest film of a short bearing, with the rotation.

    Parameters
    ----------
    eccentricity : Journal offset over radial clearance, 0 < e < 1. [-]

    Returns
    -------
    Attitude angle. [rad]

    Limits: as `short_sommerfeld`; within 3 degrees of the finite film up to L/D = 0.5.
    Source: DuBois and Ocvirk, NACA Report 1157 (1953).
    """
    e, _ = _checked(eccentricity, 1.0)
    return np.arctan2(np.pi * np.sqrt(1 - e**2), 4 * e)


def short_side_flow(eccentricity: ArrayLike) -> Floats:
    """Side flow of a short bearing, Qs / (R c N L).

    Parameters
    ----------
    eccentricity : Journal offset over radial clearance, 0 < e < 1. [-]

    Returns
    -------
    2 pi e. [-]

    Limits: as `short_sommerfeld`. Source: DuBois and Ocvirk, NACA Report 1157 (1953).
    """
    e, _ = _checked(eccentricity, 1.0)
    return np.asarray(2 * np.pi * e)


def short_mobility(
    along: ArrayLike, across: ArrayLike, length_ratio: ArrayLike
) -> tuple[Floats, Floats]:
    """Mobility of a short bearing; a limit that overstates capacity.

    Parameters
    ----------
    along, across : Journal offset over radial clearance, along the load and across it. [-]
    length_ratio : Bearing length over diameter, > 0. [-]

    Returns
    -------
    (along, across), Booker's mobility as in `mobility.mobility`. [-] Inputs broadcast.

    Limits: L/D -> 0, film that bears no suction. Its steady path lies within 2.5 % of Ocvirk's
    load. Never clear an engine on it.

    Source: J. F. Booker, ASME J. Basic Eng. 87 (1965) 537; 93 (1971) 168; from memory.
    """
    xi, eta = np.asarray(along, dtype=float), np.asarray(across, dtype=float)
    _, ratio = _checked(0.5, length_ratio)
    gap = 1 - xi
    scale = gap**1.5 / (np.pi * ratio**2)
    return gap * scale, -4 / np.pi * eta * scale


def _checked(eccentricity: ArrayLike, length_ratio: ArrayLike) -> tuple[Floats, Floats]:
    e, ratio = np.asarray(eccentricity, dtype=float), np.asarray(length_ratio, dtype=float)
    if np.any((e <= 0) | (e >= 1)):
        raise ValueError(
            f"Short bearing: eccentricity {e} found; it must lie between 0 and 1. "
            "Give the offset of the journal divided by the radial clearance."
        )
    if np.any(ratio <= 0):
        raise ValueError(
            f"Short bearing: length over diameter {ratio} found; it must be above 0. "
            "Give the bearing length divided by its diameter."
        )
    return e, ratio
