"""The air outside when nothing measured it."""

from witnessmark.physics.numbers import Numbers

STANDARD_ATMOSPHERE = 101_325.0  # Pa at sea level; ISO 2533:1975, table 1
_SEA_LEVEL_TEMPERATURE, _LAPSE, _EXPONENT = 288.15, 0.0065, 5.25588  # K, K/m, [-]


def standard_pressure(height: Numbers) -> Numbers:
    """Pressure of the standard atmosphere at a height above the sea.

    Parameters
    ----------
    height : Geopotential height, up to 11,000 m. [m]

    Returns
    -------
    Pressure. [Pa]

    Limits: a standard day; weather moves it by a few kPa either way. Height by tape and
    geopotential height differ by 0.05 % of themselves at 3,000 m.

    Source: ISO 2533:1975, troposphere.
    """
    share = 1 - _LAPSE * height / _SEA_LEVEL_TEMPERATURE
    pressure: Numbers = STANDARD_ATMOSPHERE * share**_EXPONENT
    return pressure
