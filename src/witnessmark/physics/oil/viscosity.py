"""Viscosity over temperature: the straight line of ASTM D341, with its low-viscosity terms."""

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.numbers import Floats

ZERO_CELSIUS = 273.15  # K
COLDEST = ZERO_CELSIUS  # K; colder, a multigrade leaves the line (wax, polymer)
HOTTEST = ZERO_CELSIUS + 200.0  # K
LOWEST = 0.21e-6  # m²/s; D341: the terms for thin liquids hold down to here
TWO_POINTS_APART = 1.0  # K; closer than this, a typing error in viscosity sets the slope
_SQUARE_MM = 1e6  # mm²/s in a m²/s; D341 writes its numbers in mm²/s
_THICK = 4.0  # mm²/s; above, the thin-liquid term is under 1e-11 of the viscosity


def walther_z(kinematic: Floats) -> Floats:
    """D341's Z, whose double logarithm falls in a straight line over log T.

    Parameters
    ----------
    kinematic : Kinematic viscosity. [m²/s]

    Returns
    -------
    Z = v + 0.7 + exp(-1.47 - 1.84 v - 0.51 v²), v in mm²/s. [-] Shape of the input.

    Limits: 0.21 mm²/s and thicker. Above 2 mm²/s the exponential is under 0.03 %.

    Source: ASTM D341 (current form, D341-20), recalled; its way there and back agree
    within 0.03 % (tests), which no slip in the eight coefficients would leave standing.
    """
    v = kinematic * _SQUARE_MM
    return v + 0.7 + np.exp(-1.47 - 1.84 * v - 0.51 * v**2)


def kinematic_of_z(z: Floats) -> Floats:
    """Kinematic viscosity of a D341 Z, the standard's own way back.

    Parameters
    ----------
    z : D341's Z. [-]

    Returns
    -------
    Kinematic viscosity. [m²/s] Shape of the input.

    Limits: within 0.03 % of the exact inverse of `walther_z` from 0.3 mm²/s up.

    Source: ASTM D341: v = y - exp(-0.7487 - 3.295 y + 0.6119 y² - 0.3193 y³), y = Z - 0.7.
    """
    y = np.asarray(z) - 0.7
    if np.any(y < _THICK):  # hot engine oil seldom needs the term: spare the exponential
        thin = np.minimum(y, _THICK)
        y = y - np.exp(-0.7487 + thin * (-3.295 + thin * (0.6119 - 0.3193 * thin)))
    return y / _SQUARE_MM


def walther_line(
    temperature_1: Floats, kinematic_1: Floats, temperature_2: Floats, kinematic_2: Floats
) -> tuple[Floats, Floats]:
    """A and B of log10 log10 Z = A - B log10 T through two measured viscosities.

    Parameters
    ----------
    temperature_1, temperature_2 : Where they were measured. [K]
    kinematic_1, kinematic_2 : Kinematic viscosities there. [m²/s] All broadcast.

    Returns
    -------
    A and B. [-], [-]

    Raises
    ------
    ValueError : a viscosity not positive or under 0.21 mm²/s, two temperatures the same, or
    the hotter oil not the thinner.

    Source: ASTM D341.
    """
    _check_points(temperature_1, kinematic_1, temperature_2, kinematic_2)
    height_1 = np.log10(np.log10(walther_z(kinematic_1)))
    height_2 = np.log10(np.log10(walther_z(kinematic_2)))
    slope = (height_1 - height_2) / (np.log10(temperature_2) - np.log10(temperature_1))
    return height_1 + slope * np.log10(temperature_1), slope


def kinematic_on_line(walther_a: Floats, walther_b: Floats, temperature: Floats) -> Floats:
    """Kinematic viscosity on a D341 line; the line is followed wherever it leads.

    Parameters
    ----------
    walther_a, walther_b : The line's A and B. [-]
    temperature : Oil temperature, over 0 K. [K] All broadcast.

    Returns
    -------
    Kinematic viscosity. [m²/s]

    Limits: no limit is kept here; see `within`, and `Oil.kinematic`, which keeps it.

    Source: ASTM D341. Between and near the points a mineral oil keeps to the line within
    a few per cent (tests, docs/explanation/oil.md).
    """
    ln10 = np.log(10.0)
    # ln Z = 10**(A - B log10 T) * ln 10, written with one power fewer.
    return kinematic_of_z(np.exp(ln10 * np.exp(ln10 * walther_a - walther_b * np.log(temperature))))


def within(temperature: Floats) -> NDArray[np.bool_]:
    """Where the viscosity line is to be believed: 0 to 200 °C.

    Parameters
    ----------
    temperature : Oil temperature. [K]

    Returns
    -------
    True inside. Shape of the input; NaN is outside.

    Source: the lower end is the practice of the D341 chart for oils with polymer in them;
    the upper end is twice the distance of the two usual points (common practice, no source).
    """
    t = np.asarray(temperature)
    return np.asarray((t >= COLDEST) & (t <= HOTTEST))


def _check_points(t1: Floats, v1: Floats, t2: Floats, v2: Floats) -> None:
    for name, v in (("first", v1), ("second", v2)):
        if not np.all(np.asarray(v) >= LOWEST):  # NaN fails too
            raise ValueError(
                f"viscosity line, {name} point: found {np.min(v) * _SQUARE_MM:.4g} mm²/s; wanted "
                f"{LOWEST * _SQUARE_MM:g} mm²/s or more; give the viscosity off the data sheet"
            )
    t1, v1, t2, v2 = np.broadcast_arrays(t1, v1, t2, v2)
    if not np.all(np.minimum(t1, t2) > 0):
        raise ValueError(
            f"viscosity line: found a temperature of {np.min(np.minimum(t1, t2)):g} K; "
            "wanted one over 0 K; give kelvin"
        )
    if not np.all(np.abs(t2 - t1) >= TWO_POINTS_APART):
        raise ValueError(
            f"viscosity line: found two points at {t1.flat[0]:g} K and {t2.flat[0]:g} K; wanted "
            "two different temperatures; give the viscosities at 40 °C and at 100 °C"
        )
    wrong = ~((v1 - v2) * (t2 - t1) > 0)
    if np.any(wrong):
        i = int(np.argmax(wrong))
        raise ValueError(
            f"viscosity line: found {v1.flat[i] * _SQUARE_MM:g} mm²/s at {t1.flat[i]:g} K and "
            f"{v2.flat[i] * _SQUARE_MM:g} mm²/s at {t2.flat[i]:g} K; wanted the hotter oil to be "
            "the thinner; look whether the two are swapped or typed twice"
        )
