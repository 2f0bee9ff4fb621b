"""How easily oil gets into a bearing and out of its ends: conductances of feed grooves and holes.

Every function answers with kappa [m³]: the flow is kappa · p / µ, p the feed pressure over that
of the crankcase and µ the viscosity of the oil in the film. All grow with the cube of the film.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.physics.checked import checked

Floats = NDArray[np.float64]

FULL_TURN = 2 * np.pi
_MEASURE = "check the bearing sizes on the build sheet"
_OFFSET = "give journal offset over radial clearance"


def cube_mean(
    eccentricity: ArrayLike, arc: ArrayLike = FULL_TURN, widest: ArrayLike = 0.0
) -> Floats:
    """Mean of (film over clearance)³ along an arc of a bearing.

    Parameters
    ----------
    eccentricity : Journal offset over radial clearance, 0 <= e <= 1. [-]
    arc : Angle the arc takes up, 0 < arc <= 2 pi. [rad]
    widest : Angle from the middle of the arc to the widest film. [rad]

    Returns
    -------
    Mean of (1 + e cos)³. [-] Inputs broadcast. Over a full turn it is 1 + 1.5 e², exact.

    Raises ValueError for numbers outside these limits.

    Source: the integral in closed form.
    """
    e = checked("eccentricity", _floats(eccentricity), _OFFSET, at_least=0, at_most=1)
    turn = checked("groove arc", _floats(arc), _MEASURE, above=0, at_most=FULL_TURN)
    middle = _floats(widest)
    return (_cube_integral(e, middle + turn / 2) - _cube_integral(e, middle - turn / 2)) / turn


def land_conductance(
    diameter: ArrayLike, land: ArrayLike, clearance: ArrayLike, eccentricity: ArrayLike = 0.0
) -> Floats:
    """Leakage along one land, from a full groove on one side of it to air on the other.

    Parameters
    ----------
    diameter : Journal diameter. [m]
    land : Length of the land in the direction of flow. [m]
    clearance : Radial clearance, half the difference of the diameters. [m]
    eccentricity : Journal offset over radial clearance, 0 <= e <= 1. [-]

    Returns
    -------
    kappa = pi D c³ (1 + 1.5 e²) / (12 l). [m³] Inputs broadcast.

    Raises ValueError for a size that is not above 0.

    Limits: laminar, one viscosity, axis parallel to the bore; leakage by pressure alone.
    Exact within them: plane Poiseuille flow, and the mean of the cube over a turn.
    """
    d = checked("journal diameter", _floats(diameter), _MEASURE, above=0)
    length = checked("land length", _floats(land), _MEASURE, above=0)
    c = checked("radial clearance", _floats(clearance), _MEASURE, above=0)
    return np.pi * d * c**3 * cube_mean(eccentricity) / (12 * length)


def full_groove_conductance(
    diameter: ArrayLike,
    length: ArrayLike,
    groove: ArrayLike,
    clearance: ArrayLike,
    eccentricity: ArrayLike = 0.0,
) -> Floats:
    """Bearing with a groove all the way round its middle: both lands leak.

    Parameters
    ----------
    diameter : Journal diameter. [m]
    length : Whole bearing, groove included. [m]
    groove : Width of the groove along the shaft, below length. [m]
    clearance : Radial clearance. [m]
    eccentricity : Journal offset over radial clearance, 0 <= e <= 1. [-]

    Returns
    -------
    kappa = pi D c³ (1 + 1.5 e²) / (6 l), with l = (length - groove) / 2. [m³] Broadcasts.

    Raises ValueError for a size not above 0 or a groove as wide as the bearing.

    Limits: as `land_conductance`; no pressure lost along the groove.
    Source: Shigley's Mechanical Engineering Design, pressure-fed bearings (from memory); exact.
    """
    land = _part_left(length, groove) / 2
    return 2 * land_conductance(diameter, land, clearance, eccentricity)


def arc_groove_conductance(
    diameter: ArrayLike,
    length: ArrayLike,
    groove: ArrayLike,
    arc: ArrayLike,
    clearance: ArrayLike,
    eccentricity: ArrayLike = 0.0,
    widest: ArrayLike = 0.0,
) -> Floats:
    """Bearing with a groove round part of its middle, as in the upper shell of a main bearing.

    Parameters
    ----------
    diameter, length, groove, clearance, eccentricity : As `full_groove_conductance`.
    arc : Angle the groove takes up, above 0 and below 2 pi; pi for one half shell. [rad]
    widest : Angle from the groove's middle to the widest film, 0 for a load straight down. [rad]

    Returns
    -------
    kappa: both lands along the arc with their own mean cube, and the spread past each end of the
    groove at that end's film. [m³] Inputs broadcast.

    Raises ValueError for a size not above 0, a groove too wide, an arc outside 0 to 2 pi.

    Limits: within 2.5 % of a 2-D solution for arcs from 3/4 pi to 1.8 pi, widest film over the
    groove; up to 13 % low when the thinnest film (e = 0.9) lies over it.
    Source: the lands exact; the ends as `groove_conductance`, half to each.
    """
    turn = checked("groove arc", _floats(arc), _MEASURE, above=0)
    if np.any(turn >= FULL_TURN):
        raise ValueError(
            f"groove arc: found {np.max(turn):g} rad, wanted below a full turn, 2 pi; "
            "use the full groove for a groove all the way round"
        )
    c = checked("radial clearance", _floats(clearance), _MEASURE, above=0)
    d = checked("journal diameter", _floats(diameter), _MEASURE, above=0)
    e, middle = _floats(eccentricity), _floats(widest)
    lands = turn * d * cube_mean(e, turn, middle) / (6 * _part_left(length, groove))
    at_ends = (1 + e * np.cos(middle + turn / 2)) ** 3 + (1 + e * np.cos(middle - turn / 2)) ** 3
    return np.asarray(c**3 * (lands + _both_ends(length, groove) * at_ends / 2))


def groove_conductance(
    length: ArrayLike, along: ArrayLike, around: ArrayLike, film: ArrayLike
) -> Floats:
    """Rectangular feed groove in the middle of a bearing.

    Parameters
    ----------
    length : Bearing length. [m]
    along : Size of the groove along the shaft, below length. [m]
    around : Size of the groove round the bore. [m]
    film : Film thickness at the groove. [m]

    Returns
    -------
    kappa = h³ {(1.25 - 0.25 a/L) / [3 (L/a - 1)^(1/3)] + b / [3 (L - a)]}. [m³] Broadcasts.

    Raises ValueError for a size not above 0 or a groove as long as the bearing.

    Limits: high by 0.5 to 6 % against a 2-D solution (a/L 0.15 to 0.7), most for short grooves.
    The film is taken as even round the groove; use `arc_groove_conductance` where it is not.
    Source: Martin and Lee, ASLE Trans. 26 (1983) 381 (from memory).
    """
    h = checked("film thickness", _floats(film), _MEASURE, above=0)
    b = checked("groove round the bore", _floats(around), _MEASURE, above=0)
    lands = b / (3 * _part_left(length, along))
    return np.asarray(h**3 * (_both_ends(length, along) + lands))


def hole_conductance(length: ArrayLike, hole: ArrayLike, film: ArrayLike) -> Floats:
    """Bearing fed by one round hole in its middle.

    Parameters
    ----------
    length : Bearing length. [m]
    hole : Diameter of the hole where it meets the film, below length. [m]
    film : Film thickness at the hole. [m]

    Returns
    -------
    kappa = 0.675 h³ (d/L + 0.4)^1.75. [m³] Inputs broadcast.

    Raises ValueError for a size not above 0 or a hole as wide as the bearing.

    Limits: d/L 0.05 to 0.5, L/D to 1. Against a 2-D solution with an even film: within 1.6 % for
    d/L 0.24 to 0.5, up to 3.2 % low for 0.1 to 0.24, 3.2 % high at 0.05. No spread or worn edge.
    Source: Martin and Lee, ASLE Trans. 26 (1983) 381 (from memory).
    """
    h = checked("film thickness", _floats(film), _MEASURE, above=0)
    whole, d = _fits(length, hole, "oil hole")
    return np.asarray(0.675 * h**3 * (d / whole + 0.4) ** 1.75)


def swept_hole_conductance(
    length: ArrayLike, hole: ArrayLike, clearance: ArrayLike, eccentricity: ArrayLike = 0.0
) -> Floats:
    """Mean over a turn for one hole in the journal, as a plain rod bearing is fed.

    Parameters
    ----------
    length, hole : As `hole_conductance`. [m]
    clearance : Radial clearance. [m]
    eccentricity : Journal offset over radial clearance, 0 <= e <= 1. [-]

    Returns
    -------
    kappa = hole_conductance at the clearance, times 1 + 1.5 e². [m³] Inputs broadcast.

    Raises ValueError for a size not above 0 or a hole as wide as the bearing.

    Limits: the hole passes every film of the bearing evenly; the pressure it meets in the loaded
    film is left out, which overstates the flow of a heavily loaded bearing.
    Source: `hole_conductance`; mean of the cube, exact.
    """
    return hole_conductance(length, hole, clearance) * cube_mean(eccentricity)


def leak_conductance(
    clearance: ArrayLike,
    eccentricity: ArrayLike = 0.0,
    *,
    diameter: ArrayLike,
    length: ArrayLike,
    groove: ArrayLike = 0.0,
    groove_arc: float = 0.0,
    hole: ArrayLike = 0.0,
    widest: ArrayLike = 0.0,
) -> Floats:
    """Leakage of a bearing by what feeds it: a full groove, part of one, or a hole in the journal.

    Parameters
    ----------
    clearance, eccentricity, diameter, length, widest : As `arc_groove_conductance`.
    groove : Width of the feed groove along the shaft, used where there is a groove. [m]
    groove_arc : 2 pi for a full groove, pi for half a shell, 0 for none. [rad]
    hole : Diameter of the feed hole in the journal, used where there is no groove. [m]

    Returns
    -------
    kappa [m³]; the flow is kappa · p / µ. Inputs broadcast.

    Raises ValueError for sizes no bearing has, and where neither groove nor hole is given.

    Limits and source: those of the function used, by groove_arc: `full_groove_conductance`,
    `arc_groove_conductance`, `swept_hole_conductance`.
    """
    if groove_arc >= FULL_TURN * (1 - 1e-9):  # 2 pi typed by hand, or 360 degrees converted
        return full_groove_conductance(diameter, length, groove, clearance, eccentricity)
    if groove_arc > 0:
        return arc_groove_conductance(
            diameter, length, groove, groove_arc, clearance, eccentricity, widest
        )
    if not np.any(_floats(hole)):
        raise ValueError(
            "bearing feed: found neither a groove nor a hole, wanted one of them; "
            "give the groove's arc and width, or the diameter of the oil hole"
        )
    return swept_hole_conductance(length, hole, clearance, eccentricity)


def hole_share() -> float:
    """Exponent s of `combined_flow` for a round hole. [-] Martin and Lee (1983), from memory."""
    return 0.6


def groove_share(length: ArrayLike, along: ArrayLike) -> Floats:
    """Exponent s of `combined_flow` for a groove: 0.7 (a/L)^0.7 + 0.4.

    Parameters
    ----------
    length, along : Bearing and groove along the shaft. [m] Broadcast.

    Returns
    -------
    s. [-] Not confirmed by any source read.

    Source: Martin and Lee, ASLE Trans. 26 (1983) 381, from memory.
    """
    whole, a = _fits(length, along, "feed groove")
    return np.asarray(0.7 * (a / whole) ** 0.7 + 0.4)


def combined_flow(hydrodynamic: ArrayLike, pressure: ArrayLike, share: ArrayLike) -> Floats:
    """Flow of a bearing that draws oil by turning and is fed by pressure too.

    Parameters
    ----------
    hydrodynamic : Side flow by rotation alone, Qh >= 0. [m³/s]
    pressure : Flow by feed pressure alone, Qp >= 0. [m³/s]
    share : s of `hole_share` or `groove_share`, 0 to 1. [-]

    Returns
    -------
    Q = Qm^s · Qp^(1 - s), Qm = Qh + Qp - 0.3 sqrt(Qh Qp). [m³/s] Inputs broadcast.

    Raises ValueError for a flow below 0 or a share outside 0 to 1.

    Limits: NOT confirmed; rule and exponents stand here from memory and no source was read.
    It tends to Qp when nothing is drawn by rotation, and to 0 when nothing is fed.
    Source: Martin and Lee, ASLE Trans. 26 (1983) 381, from memory.
    """
    turn = checked("hydrodynamic flow", _floats(hydrodynamic), "give a flow out", at_least=0)
    fed = checked("pressure flow", _floats(pressure), "give a flow out", at_least=0)
    s = checked("share", _floats(share), "use hole_share or groove_share", at_least=0, at_most=1)
    both = turn + fed - 0.3 * np.sqrt(turn * fed)
    return np.asarray(both**s * fed ** (1 - s))


def _floats(value: ArrayLike) -> Floats:
    return np.asarray(value, dtype=np.float64)


def _fits(length: ArrayLike, feed: ArrayLike, name: str) -> tuple[Floats, Floats]:
    """Bearing length and size of the feed along it, which must leave a land."""
    whole = checked("bearing length", _floats(length), _MEASURE, above=0)
    part = checked(name, _floats(feed), _MEASURE, above=0)
    if np.any(part >= whole):
        raise ValueError(
            f"{name}: found {np.max(part):g} m in a bearing of {np.min(whole):g} m, "
            f"wanted it shorter than the bearing; {_MEASURE}"
        )
    return whole, part


def _part_left(length: ArrayLike, groove: ArrayLike) -> Floats:
    whole, part = _fits(length, groove, "feed groove")
    return whole - part


def _both_ends(length: ArrayLike, groove: ArrayLike) -> Floats:
    """Spread past both ends of a groove, over the cube of the film. [-] Martin and Lee."""
    whole, a = _fits(length, groove, "feed groove")
    return np.asarray((1.25 - 0.25 * a / whole) / (3 * np.cbrt(whole / a - 1)))


def _cube_integral(e: Floats, angle: Floats) -> Floats:
    """Integral of (1 + e cos)³ from 0 to an angle."""
    sine = np.sin(angle)
    square = 1.5 * e**2 * (angle + np.sin(2 * angle) / 2)
    return np.asarray(angle + 3 * e * sine + square + e**3 * (sine - sine**3 / 3))
