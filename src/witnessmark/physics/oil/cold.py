"""Below 0 °C nobody knows an oil from its data sheet; its winter grade still bounds it."""

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.numbers import Floats
from witnessmark.physics.oil.grades import ColdLimit, GradeLimits
from witnessmark.physics.oil.oil import Oil
from witnessmark.physics.oil.viscosity import COLDEST


def cranking_bound(oil: Oil, grade: GradeLimits, temperature: Floats) -> NDArray[np.float64]:
    """No thicker than this under the shear of a cranking engine.

    Parameters
    ----------
    oil : The oil; only its viscosity at 0 °C and above is used.
    grade : Limits of its grade.
    temperature : Oil temperature. [K] Broadcasts with the oil's samples.

    Returns
    -------
    From 0 °C up the oil's own viscosity, below it an upper bound down to the grade's
    cranking temperature; infinite where the grade bounds nothing. [Pa s]

    Raises
    ------
    ValueError : the oil is thicker at 0 °C than its winter grade allows further down.

    Limits: holds if the logarithm of viscosity bends upward in the cold, as every oil's does.

    Source: SAE J300_201501 with ASTM D5293; a chord lies over a curve that bends upward.
    """
    return _bounded(oil, grade.cranking, temperature)


def pumping_bound(oil: Oil, grade: GradeLimits, temperature: Floats) -> NDArray[np.float64]:
    """No thicker than this at the pump's suction, near rest.

    Parameters and errors as `cranking_bound`.

    Returns
    -------
    From 0 °C up the oil's own viscosity, below it an upper bound down to the grade's
    pumping temperature; infinite where the grade bounds nothing. [Pa s]

    Limits: as `cranking_bound`. It also rests on J300's word that the oil does not set.

    Source: SAE J300_201501 with ASTM D4684.
    """
    return _bounded(oil, grade.pumping, temperature)


def _bounded(oil: Oil, limit: ColdLimit | None, temperature: Floats) -> NDArray[np.float64]:
    own = np.asarray(oil.dynamic(temperature))
    t = np.broadcast_to(np.asarray(temperature, dtype=float), own.shape)
    if limit is None:
        return np.where(t < COLDEST, np.inf, own)
    at_zero = np.asarray(oil.dynamic(COLDEST))
    if not np.all(at_zero < limit.viscosity):
        raise ValueError(
            f"oil in the cold: found {np.max(at_zero):.3g} Pa s at 0 °C; wanted less than the "
            f"{limit.viscosity:g} Pa s its winter grade allows at {limit.temperature - 273.15:.0f} "
            "°C; look whether grade and viscosities belong to the same oil"
        )
    way = (COLDEST - t) / (COLDEST - limit.temperature)
    chord = at_zero * (limit.viscosity / at_zero) ** np.clip(way, 0, 1)
    return np.where(t >= COLDEST, own, np.where(way <= 1, chord, np.inf))
