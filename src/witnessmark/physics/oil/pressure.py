"""How pressure thickens an oil: Barus for a bearing's pressures, Roelands for higher ones."""

import numpy as np

from witnessmark.physics.numbers import Floats

ROELANDS_PRESSURE = 1.962e8  # Pa; Roelands's reference pressure
_LEAST = 6.315e-5  # Pa s; Roelands's viscosity at the foot of his lines (ln 6.315e-5 = -9.67)


def barus(viscosity: Floats, coefficient: Floats, pressure: Floats) -> Floats:
    """Viscosity under pressure, Barus.

    Parameters
    ----------
    viscosity : Viscosity at the pressure of the air. [Pa s]
    coefficient : Pressure-viscosity coefficient at that temperature. [1/Pa]
    pressure : Pressure in the film. [Pa] All broadcast.

    Returns
    -------
    Viscosity. [Pa s]

    Limits: to about 100 MPa; above, it runs far too high: use `roelands`.

    Source: Barus, Am. J. Sci. 45 (1893) 87.
    """
    return viscosity * np.exp(coefficient * pressure)


def roelands(viscosity: Floats, coefficient: Floats, pressure: Floats) -> Floats:
    """Viscosity under pressure, Roelands at one temperature.

    Parameters
    ----------
    viscosity : Viscosity at the pressure of the air, over 0.0632 mPa s. [Pa s]
    coefficient : Pressure-viscosity coefficient at that temperature and no pressure. [1/Pa]
    pressure : Pressure in the film. [Pa] All broadcast.

    Returns
    -------
    Viscosity. [Pa s] Starts as steeply as `barus` does, then lags behind it.

    Limits: to about 1 GPa.

    Source: Roelands, Correlational Aspects of the Viscosity-Temperature-Pressure Relationship
    of Lubricating Oils, Delft (1966): ln(m/m0) = (ln m0 + 9.67) ((1 + 5.1e-9 p)^Z - 1), with
    Z = coefficient / (5.1e-9 (ln m0 + 9.67)).
    """
    height = np.log(np.asarray(viscosity) / _LEAST)
    power = coefficient * ROELANDS_PRESSURE / height
    return viscosity * np.exp(height * ((1 + pressure / ROELANDS_PRESSURE) ** power - 1))
