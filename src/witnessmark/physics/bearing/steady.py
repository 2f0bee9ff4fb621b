"""A bearing under a steady load: Raimondi and Boyd's quantities for any length and eccentricity.

Read from a table that `make_tables` solves once; cubic between its nodes, in variables in which
every quantity runs almost straight.
"""

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline

from witnessmark.physics.bearing.axes import (
    ECCENTRICITY_END,
    LONGEST,
    SHORTEST,
    STEADY_RATIOS,
    TABLES,
    eccentricity_axis,
)

Floats = NDArray[np.float64]
LEAST_LOAD = 1e12  # Sommerfeld number above which a bearing counts as unloaded


@dataclass(frozen=True)
class Steady:
    """Film of a steadily loaded bearing. Every field is an array of the inputs' shape.

    sommerfeld S = (R/c)² µ N L D / W, N in rev/s [-]; friction (R/c) f [-]; flow Q/(R c N L)
    into the film [-]; side_ratio Qs/Q, lost at the sides [-]; pressure_ratio mean over greatest
    pressure [-]; attitude, from the load line to the thinnest film with the rotation [rad];
    peak_angle and end_angle, from the load line to the greatest pressure and to the film's
    end [rad]. Film thickness is c (1 - eccentricity).
    """

    eccentricity: Floats
    sommerfeld: Floats
    friction: Floats
    flow: Floats
    side_ratio: Floats
    pressure_ratio: Floats
    attitude: Floats
    peak_angle: Floats
    end_angle: Floats


def steady(eccentricity: ArrayLike, length_ratio: ArrayLike) -> Steady:
    """Film of a plain full bearing under a steady load, from its eccentricity.

    Parameters
    ----------
    eccentricity : Journal offset over radial clearance, 0 <= e < 1. [-]
    length_ratio : Length over diameter, 0.05 to 4, or infinite. [-]

    Returns
    -------
    Steady. Inputs broadcast; a centred journal has infinite Sommerfeld number and friction.

    Limits: one viscosity, rigid round surfaces, no misalignment, film fed at ambient pressure
    at its widest gap, no film history. e above 0.9995 is read as 0.9995. Off the nodes the table
    is within 0.1 % of a fresh solution up to e = 0.99 (tests).
    Friction counts a full film even where the oil has broken up, as Raimondi and Boyd did.

    Source: Raimondi and Boyd, ASLE Trans. 1 (1958), 159-209, for definitions; own solution.
    """
    e, ratio = np.broadcast_arrays(*_checked(eccentricity, length_ratio))
    held = np.minimum(e, ECCENTRICITY_END)
    columns = np.empty((*e.shape, 7))
    for value, chosen in _groups(ratio):
        columns[chosen] = _sheet(value)(-np.log1p(-held[chosen]))
    near = np.sqrt(1 - held)
    with np.errstate(divide="ignore"):
        sommerfeld = np.exp(columns[..., 0]) / held * _length_part(ratio)
    attitude = columns[..., 1] * near
    friction = 2 * np.pi**2 * sommerfeld / np.sqrt(1 - held**2) + held / 2 * np.sin(attitude)
    return Steady(
        eccentricity=held,
        sommerfeld=sommerfeld,
        friction=friction,
        flow=np.exp(columns[..., 2]),
        side_ratio=columns[..., 3] * held,
        pressure_ratio=np.exp(columns[..., 4]),
        attitude=attitude,
        peak_angle=attitude - columns[..., 5] * near,
        end_angle=attitude + columns[..., 6] * near,
    )


def eccentricity_at(sommerfeld: ArrayLike, length_ratio: ArrayLike) -> Floats:
    """Eccentricity at which a steady load settles: `steady` the other way round.

    Parameters
    ----------
    sommerfeld : S = (R/c)² µ N L D / W, N in rev/s, > 0. [-]
    length_ratio : Length over diameter, 0.05 to 4, or infinite. [-]

    Returns
    -------
    Journal offset over radial clearance. [-] Inputs broadcast.

    Limits: as `steady`. A load too great for the table answers 0.9995, which is contact.
    """
    found, ratio = np.broadcast_arrays(*_checked_sommerfeld(sommerfeld, length_ratio))
    out = np.empty(found.shape)
    target = np.log(np.minimum(found, LEAST_LOAD) / _length_part(ratio))
    for value, chosen in _groups(ratio):
        out[chosen] = _invert(value, target[chosen])
    return out


def _invert(length_ratio: float, target: Floats) -> Floats:
    """Two Newton steps on log(e/(1-e)), in which log S is straight at either end."""
    load, slope, place, level = _inverse_sheet(length_ratio)
    logit = np.interp(target, level, place)
    for _ in range(2):
        e = 1 / (1 + np.exp(-logit))
        depth = -np.log1p(-np.minimum(e, ECCENTRICITY_END))
        logit = logit - (load(depth) - np.log(e) - target) / (slope(depth) * e - (1 - e))
    return np.asarray(np.minimum(1 / (1 + np.exp(-logit)), ECCENTRICITY_END))


@lru_cache(maxsize=4096)
def _inverse_sheet(length_ratio: float) -> tuple[CubicSpline, CubicSpline, Floats, Floats]:
    sheet = _sheet(length_ratio)
    load = CubicSpline(sheet.x, sheet(sheet.x)[:, 0])
    last = np.log(ECCENTRICITY_END / (1 - ECCENTRICITY_END))
    place = np.linspace(last, np.log(1e-6), 600)
    e = 1 / (1 + np.exp(-place))
    return load, load.derivative(), place, load(-np.log1p(-e)) - np.log(e)


@lru_cache(maxsize=4096)
def _sheet(length_ratio: float) -> CubicSpline:
    """The seven columns of the table against -log(1 - e), at one length over diameter."""
    axis, finite, infinite = _table()
    return CubicSpline(axis, infinite if np.isinf(length_ratio) else finite(np.log(length_ratio)))


@cache
def _table() -> tuple[Floats, CubicSpline, Floats]:
    with np.load(TABLES / "steady.npz") as stored:
        rows = stored["rows"]
    axis = eccentricity_axis(rows.shape[1])
    e = np.maximum(-np.expm1(-axis), 1e-4)
    near = np.sqrt(1 - e)
    ratios = np.array([*STEADY_RATIOS, np.inf])
    columns = [
        np.log(rows[..., 0] * e / _length_part(ratios)[:, None]),
        rows[..., 1] / near,
        np.log(rows[..., 2]),
        rows[..., 3] / e,
        np.log(rows[..., 4]),
        rows[..., 5] / near,
        rows[..., 6] / near,
    ]
    straight = np.stack(columns, axis=-1)
    return axis, CubicSpline(np.log(STEADY_RATIOS), straight[:-1]), straight[-1]


def _length_part(length_ratio: Floats) -> Floats:
    """How S runs with length: as (D/L)² when short, not at all when long."""
    return np.asarray(1 + 1 / length_ratio**2)


def _groups(ratio: Floats) -> list[tuple[float, Any]]:
    """The different lengths asked for, each with where it stands in the array."""
    first = float(ratio.flat[0]) if ratio.size else 1.0
    if np.all(ratio == first):
        return [(first, ...)]
    return [(float(value), ratio == value) for value in np.unique(ratio)]


def _checked(eccentricity: ArrayLike, length_ratio: ArrayLike) -> tuple[Floats, Floats]:
    e = np.asarray(eccentricity, dtype=float)
    if np.any((e < 0) | (e >= 1)):
        raise ValueError(
            f"Bearing film: eccentricity from {e.min():g} to {e.max():g} found; wanted 0 up to, "
            "not with, 1. Give the journal's offset divided by the radial clearance."
        )
    return e, checked_ratio(length_ratio, LONGEST, or_infinite=True)


def _checked_sommerfeld(sommerfeld: ArrayLike, length_ratio: ArrayLike) -> tuple[Floats, Floats]:
    s = np.asarray(sommerfeld, dtype=float)
    if np.any(s <= 0):
        raise ValueError(
            f"Bearing film: Sommerfeld number {s.min():g} found; it must be above 0. "
            "Check that speed, viscosity, length and load are all above 0."
        )
    return s, checked_ratio(length_ratio, LONGEST, or_infinite=True)


def checked_ratio(length_ratio: ArrayLike, longest: float, *, or_infinite: bool = False) -> Floats:
    """Length over diameter as an array, refused when no film of that shape was tabulated."""
    ratio = np.asarray(length_ratio, dtype=float)
    if np.any(((ratio < SHORTEST) | (ratio > longest)) & ~(or_infinite & np.isposinf(ratio))):
        raise ValueError(
            f"Bearing film: length over diameter from {ratio.min():g} to {ratio.max():g} found; "
            f"wanted {SHORTEST:g} to {longest:g}{' or infinite' if or_infinite else ''}. "
            "Check the bearing's length and diameter."
        )
    return ratio
