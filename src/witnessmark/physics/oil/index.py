"""Viscosity index, ASTM D2270, and the way back from an index to the viscosity at 40 °C."""

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.numbers import Floats

_SQUARE_MM = 1e6  # mm²/s in a m²/s
LOWEST = 2.0  # mm²/s at 100 °C; the standard begins here

# ASTM D2270, the standard's quadratics that give its table of L and H by calculation:
# from Y [mm²/s at 100 °C], then a, b, c of L = a Y² + b Y + c and d, e, f of H. From memory;
# held against the table itself, as the library `chemicals` carries it, in the tests.
_QUADRATICS = np.array(
    [
        (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
        (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
        (4.4, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
        (5.0, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
        (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
        (7.0, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
        (7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
        (9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
        (12.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
        (15.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
        (18.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
        (22.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
        (28.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
        (40.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
        (55.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
        (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
    ]
)


def reference_oils(kv100: Floats) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """L and H: viscosities at 40 °C of the oils of index 0 and 100 with this oil's kv100.

    Parameters
    ----------
    kv100 : Kinematic viscosity at 100 °C, 2 mm²/s or more. [m²/s]

    Returns
    -------
    L and H. [m²/s], [m²/s] Shape of the input.

    Raises
    ------
    ValueError : under 2 mm²/s, where the standard has no reference oils.

    Source: ASTM D2270 (table by its quadratics; over 70 mm²/s its two formulas).
    """
    y = np.asarray(kv100) * _SQUARE_MM
    if not np.all(y >= LOWEST * (1 - 1e-12)):  # 2.0 typed must be 2.0 after the unit
        raise ValueError(
            f"viscosity index: found {np.min(y):.4g} mm²/s at 100 °C; wanted {LOWEST:g} mm²/s or "
            "more, where ASTM D2270 begins; give the viscosities instead of an index"
        )
    row = np.maximum(np.searchsorted(_QUADRATICS[:, 0], y, side="right") - 1, 0)
    _, a, b, c, d, e, f = np.moveaxis(_QUADRATICS[row], -1, 0)
    return ((a * y + b) * y + c) / _SQUARE_MM, ((d * y + e) * y + f) / _SQUARE_MM


def viscosity_index(kv40: Floats, kv100: Floats) -> NDArray[np.float64]:
    """How little an oil thins as it warms; about 100 for plain mineral oil.

    Parameters
    ----------
    kv40, kv100 : Kinematic viscosity at 40 and at 100 °C. [m²/s] Broadcast.

    Returns
    -------
    Index, not rounded; the standard reports whole numbers. [-]

    Raises
    ------
    ValueError : under 2 mm²/s at 100 °C.

    Source: ASTM D2270, procedure A to 100, procedure B above.
    """
    low, high = reference_oils(kv100)
    u = np.asarray(kv40)
    plain = 100 * (low - u) / (low - high)
    n = np.log(high / u) / np.log(np.asarray(kv100) * _SQUARE_MM)
    return np.asarray(np.where(u >= high, plain, (10**n - 1) / 0.00715 + 100))


def kv40_of_index(kv100: Floats, index: Floats) -> NDArray[np.float64]:
    """Viscosity at 40 °C of an oil of which only kv100 and the index are known.

    Parameters
    ----------
    kv100 : Kinematic viscosity at 100 °C. [m²/s]
    index : Viscosity index. [-] Broadcast.

    Returns
    -------
    Kinematic viscosity at 40 °C. [m²/s]

    Raises
    ------
    ValueError : under 2 mm²/s at 100 °C.

    Limits: an index rounded to a whole number leaves about 0.5 % of kv40 open.

    Source: ASTM D2270 turned round.
    """
    low, high = reference_oils(kv100)
    index = np.asarray(index)
    plain = low - index * (low - high) / 100
    y = np.asarray(kv100) * _SQUARE_MM
    rich = high * y ** -np.log10(1 + 0.00715 * np.maximum(index - 100, 0))
    return np.asarray(np.where(index <= 100, plain, rich))
