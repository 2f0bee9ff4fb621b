"""Shear thinning: how much thinner a multigrade runs in a bearing than in a measuring glass."""

import numpy as np

from witnessmark.physics.numbers import Floats
from witnessmark.physics.oil.viscosity import ZERO_CELSIUS

HTHS_TEMPERATURE = ZERO_CELSIUS + 150.0  # K; ASTM D4683, D4741, D5481
HTHS_SHEAR_RATE = 1e6  # 1/s; the same
MEASURED_OVER = 1.2  # HTHS over low shear: past this, two different oils, not scatter


def cross(
    low_shear: Floats, high_shear: Floats, time: Floats, shear_rate: Floats, exponent: Floats = 1.0
) -> Floats:
    """Viscosity of a shear-thinning oil, Cross.

    Parameters
    ----------
    low_shear, high_shear : Viscosity at rest and at endless shear. [Pa s]
    time : One over the shear rate at which half the loss is reached. [s]
    shear_rate : Sliding speed over film thickness, 0 or more. [1/s]
    exponent : How sharply it falls. [-] All broadcast.

    Returns
    -------
    Viscosity at the shear rate. [Pa s]

    Source: Cross, J. Colloid Sci. 20 (1965) 417.
    """
    reduced = (time * shear_rate) ** exponent
    return high_shear + (low_shear - high_shear) / (1 + reduced)


def cross_time(
    low_shear: Floats, high_shear: Floats, hths: Floats, exponent: Floats = 1.0
) -> Floats:
    """Cross's time constant that makes an oil show its HTHS viscosity at 1e6 1/s.

    Parameters
    ----------
    low_shear, high_shear : Viscosity at rest and at endless shear, at 150 °C. [Pa s]
    hths : Viscosity at 150 °C and 1e6 1/s. [Pa s]
    exponent : Cross's exponent. [-] All broadcast.

    Returns
    -------
    Time constant at 150 °C. [s] 0 where the HTHS is the low-shear viscosity or over it.

    Raises
    ------
    ValueError : HTHS not over the viscosity at endless shear, or a fifth over low shear.

    Source: `cross` solved for the time.
    """
    return _lost(low_shear, high_shear, hths) ** (1 / exponent) / HTHS_SHEAR_RATE


def carreau(
    low_shear: Floats, high_shear: Floats, time: Floats, shear_rate: Floats, exponent: Floats = 0.5
) -> Floats:
    """Viscosity of a shear-thinning oil, Carreau.

    Parameters
    ----------
    low_shear, high_shear : Viscosity at rest and at endless shear. [Pa s]
    time : One over the shear rate where thinning sets in. [s]
    shear_rate : Sliding speed over film thickness, 0 or more. [1/s]
    exponent : Carreau's n, under 1. [-] All broadcast.

    Returns
    -------
    Viscosity at the shear rate. [Pa s]

    Source: Carreau, Trans. Soc. Rheology 16 (1972) 99.
    """
    bend = (1 + (time * shear_rate) ** 2) ** ((exponent - 1) / 2)
    return high_shear + (low_shear - high_shear) * bend


def carreau_time(
    low_shear: Floats, high_shear: Floats, hths: Floats, exponent: Floats = 0.5
) -> Floats:
    """Carreau's time constant that makes an oil show its HTHS viscosity at 1e6 1/s.

    Parameters
    ----------
    low_shear, high_shear : Viscosity at rest and at endless shear, at 150 °C. [Pa s]
    hths : Viscosity at 150 °C and 1e6 1/s. [Pa s]
    exponent : Carreau's n, under 1. [-] All broadcast.

    Returns
    -------
    Time constant at 150 °C. [s] 0 where the HTHS is the low-shear viscosity or over it.

    Raises
    ------
    ValueError : as `cross_time`.

    Source: `carreau` solved for the time.
    """
    bend = 1 / (1 + _lost(low_shear, high_shear, hths))
    return np.sqrt(np.maximum(bend ** (2 / (exponent - 1)) - 1, 0.0)) / HTHS_SHEAR_RATE


def _lost(low_shear: Floats, high_shear: Floats, hths: Floats) -> Floats:
    """Polymer share lost over polymer share left at HTHS; 0 where nothing is lost."""
    low, high, hths = np.broadcast_arrays(low_shear, high_shear, hths)
    if not np.all(hths > high):
        i = int(np.argmin(hths - high))
        raise ValueError(
            f"HTHS viscosity: found {hths.flat[i] * 1e3:.4g} mPa s at 150 °C; wanted more than "
            f"{high.flat[i] * 1e3:.4g} mPa s, which this oil keeps at any shear rate; look at the "
            "data sheet, or leave HTHS away"
        )
    if np.any(hths > MEASURED_OVER * low):
        i = int(np.argmax(hths / low))
        raise ValueError(
            f"HTHS viscosity: found {hths.flat[i] * 1e3:.4g} mPa s at 150 °C; wanted no more than "
            f"{low.flat[i] * 1e3:.4g} mPa s, which this oil has there at rest; look whether HTHS "
            "and the viscosities at 40 and 100 °C belong to the same oil"
        )
    return np.asarray(np.maximum((low - hths) / (hths - high), 0.0))
