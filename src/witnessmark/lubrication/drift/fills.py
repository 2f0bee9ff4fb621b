"""What is known of the oil in a later log, and which oil would look like leakage."""

import math

import numpy as np

from witnessmark.lubrication.drift.compare import Fill
from witnessmark.lubrication.drift.terms import DriftTerms
from witnessmark.lubrication.oil_of_build import WARM, OilOfBuild
from witnessmark.model.log import Floats
from witnessmark.model.lubrication_book import NINE_OF_TEN, FuelInOil, si
from witnessmark.physics.oil.dilution import Diluent, diluted
from witnessmark.physics.oil.oil import Oil

_SHARES = np.linspace(0.0, 0.25, 251)  # of fuel that are tried; more is no engine oil any longer


def same_fill(terms: DriftTerms) -> Fill:
    """The oil that was in it before."""
    return Fill(terms.same_fill)


def new_fill(terms: DriftTerms) -> Fill:
    """Another can of the same oil."""
    return Fill(terms.new_fill)


def other_grade(before: OilOfBuild, after: OilOfBuild) -> Fill:
    """An oil of another grade: known as well as both grades are."""
    return Fill(math.hypot(before.viscosity_sd, after.viscosity_sd), after.oil)


def fuelled(oil: Oil, share: float, fuel: FuelInOil, terms: DriftTerms) -> Fill:
    """The same fill with a stated share of fuel in it; the blending rules' band is its spread."""
    band = diluted(oil, share, _diluent(fuel))
    width = math.log(float(band.high.dynamic(WARM)) / float(band.low.dynamic(WARM)))
    return Fill(math.hypot(terms.same_fill, width / NINE_OF_TEN), band.middle)


def fuel_for(oil: Oil, thinner: float, fuel: FuelInOil) -> tuple[float, float] | None:
    """Least and most fuel that would make an oil thinner by so much, by the blending rules.

    Parameters
    ----------
    oil : The oil without it.
    thinner : Change of the logarithm of viscosity, warm. [-]
    fuel : What stays of it in a warm sump.

    Returns
    -------
    Shares by mass; None if the oil is not thinner, or thinner than a quarter of fuel makes it.
    """
    band = diluted(oil, _SHARES, _diluent(fuel))
    known = math.log(float(oil.dynamic(WARM)))
    ends = [
        _share_at(np.log(each.dynamic(WARM)) - known, thinner) for each in (band.low, band.high)
    ]
    least, most = ends
    return None if thinner >= 0 or least is None or most is None else (least, most)


def _share_at(thinning: Floats, wanted: float) -> float | None:
    if wanted < thinning[-1]:
        return None
    return float(np.interp(-wanted, -thinning, _SHARES))


def _diluent(fuel: FuelInOil) -> Diluent:
    return Diluent(si(fuel.kv40), si(fuel.kv100), si(fuel.density))
