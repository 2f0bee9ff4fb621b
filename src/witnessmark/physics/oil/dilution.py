"""Fuel in the oil: four rules for the blend, which disagree, and the band between them."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import reduce

import numpy as np

from witnessmark.physics.numbers import Floats
from witnessmark.physics.oil.oil import AT_40, AT_100, Oil
from witnessmark.physics.oil.viscosity import LOWEST, kinematic_of_z, walther_line, walther_z

_SQUARE_MM = 1e6  # mm²/s in a m²/s


@dataclass(frozen=True)
class Diluent:
    """What got into the oil: viscosity at 40 and 100 °C [m²/s], density at 15 °C [kg/m³].

    Petrol in a sump is what did not boil off: thicker and heavier than petrol from the pump.
    """

    kv40: Floats
    kv100: Floats
    density_15: Floats


@dataclass(frozen=True)
class DilutionBand:
    """The thinnest, a middle and the thickest oil that the rules allow."""

    low: Oil
    middle: Oil
    high: Oil


def kendall_monroe(oil: Floats, diluent: Floats, share: Floats) -> Floats:
    """Viscosity of a blend, cube roots added.

    Parameters
    ----------
    oil, diluent : Kinematic viscosities at one temperature. [m²/s]
    share : Mass of diluent over mass of blend. [-] All broadcast.

    Returns
    -------
    Kinematic viscosity of the blend. [m²/s]

    Limits: hydrocarbons of like kind; far apart, it reads thick.

    Source: Kendall and Monroe, J. Am. Chem. Soc. 39 (1917) 1787 (in mole shares there).
    """
    return ((1 - share) * np.cbrt(oil) + share * np.cbrt(diluent)) ** 3


def arrhenius(oil: Floats, diluent: Floats, share: Floats) -> Floats:
    """Viscosity of a blend, logarithms added.

    Parameters and result as `kendall_monroe`.

    Source: Arrhenius, Z. phys. Chem. 1 (1887) 285.
    """
    return np.exp((1 - share) * np.log(oil) + share * np.log(diluent))


def refutas(oil: Floats, diluent: Floats, share: Floats) -> Floats:
    """Viscosity of a blend, double logarithms of v + 0.8 added by mass.

    Parameters and result as `kendall_monroe`; viscosities over 0.2 mm²/s.

    Source: Refutas's blending number 14.534 ln ln (v + 0.8) + 10.975, v in mm²/s (Maples,
    Petroleum Refinery Process Economics, 2000; from memory). The two constants cancel.
    """
    height = (1 - share) * _double_log(oil) + share * _double_log(diluent)
    return (np.exp(np.exp(height)) - 0.8) / _SQUARE_MM


def walther_blend(oil: Floats, diluent: Floats, share: Floats) -> Floats:
    """Viscosity of a blend, double logarithms of D341's Z added.

    Parameters and result as `kendall_monroe`; viscosities over 0.21 mm²/s.

    Limits: by its own scope D7152 may not hold where viscosity improvers are in the oil.

    Source: ASTM D7152, the ASTM blending method (formula from memory).
    """
    height = (1 - share) * np.log(np.log(walther_z(oil)))
    height = height + share * np.log(np.log(walther_z(diluent)))
    return kinematic_of_z(np.exp(np.exp(height)))


Rule = Callable[[Floats, Floats, Floats], Floats]
RULES: dict[str, Rule] = {
    "Kendall-Monroe": kendall_monroe,
    "Arrhenius": arrhenius,
    "Refutas": refutas,
    "ASTM D7152": walther_blend,
}


def blended(oil: Oil, diluent: Diluent, share: Floats, rule: Rule) -> Oil:
    """Oil with a share of diluent in it, by one rule.

    Parameters
    ----------
    oil : The oil without it.
    diluent : What got in.
    share : Mass of diluent over mass of blend, 0 to 1. [-] Broadcasts.
    rule : One of `RULES`.

    Returns
    -------
    Oil through the blended viscosities at 40 and 100 °C, its density by volumes added.

    Raises
    ------
    ValueError : share outside 0 to 1, or a viscosity under 0.21 mm²/s.

    Limits: thins under shear as the oil did, share for share; nothing boils off.
    """
    _check(share, diluent)
    kv40, kv100 = _ends(oil, diluent, share, rule)
    return _through(oil, diluent, share, kv40, kv100)


def diluted(oil: Oil, share: Floats, diluent: Diluent) -> DilutionBand:
    """The band of oils that fuel in the sump may have left.

    Parameters
    ----------
    oil : The oil without it.
    share : Mass of diluent over mass of blend, 0 to 1. [-] Broadcasts.
    diluent : What got in.

    Returns
    -------
    At 40 and at 100 °C each: `low` is the thinnest of the rules, `high` the thickest, `middle`
    their geometric mean. With petrol at 5 %, high over low is about 1.2 at 100 °C.

    Raises
    ------
    ValueError : share outside 0 to 1, or a viscosity under 0.21 mm²/s.

    Limits: no rule was made for a multigrade, so none is preferred; as `blended`.

    Source: docs/explanation/oil.md.
    """
    _check(share, diluent)
    cold, hot = zip(*(_ends(oil, diluent, share, rule) for rule in RULES.values()), strict=True)
    least = reduce(np.minimum, cold), reduce(np.minimum, hot)
    most = reduce(np.maximum, cold), reduce(np.maximum, hot)
    middle = np.sqrt(least[0] * most[0]), np.sqrt(least[1] * most[1])
    return DilutionBand(
        low=_through(oil, diluent, share, *least),
        middle=_through(oil, diluent, share, *middle),
        high=_through(oil, diluent, share, *most),
    )


def _ends(oil: Oil, diluent: Diluent, share: Floats, rule: Rule) -> tuple[Floats, Floats]:
    return (
        rule(oil.kinematic(AT_40), diluent.kv40, share),
        rule(oil.kinematic(AT_100), diluent.kv100, share),
    )


def _through(oil: Oil, diluent: Diluent, share: Floats, kv40: Floats, kv100: Floats) -> Oil:
    a, b = walther_line(AT_40, kv40, AT_100, kv100)
    density_15 = 1 / ((1 - share) / oil.density_15 + share / diluent.density_15)
    return replace(oil, walther_a=a, walther_b=b, density_15=density_15)


def _double_log(kinematic: Floats) -> Floats:
    return np.log(np.log(kinematic * _SQUARE_MM + 0.8))


def _check(share: Floats, diluent: Diluent) -> None:
    thinnest = min(np.min(diluent.kv40), np.min(diluent.kv100))
    if not thinnest >= LOWEST:
        raise ValueError(
            f"fuel in the oil: found a fuel of {thinnest * _SQUARE_MM:.4g} mm²/s; wanted "
            f"{LOWEST * _SQUARE_MM:g} mm²/s or more, where the blending rules hold; give the "
            "viscosity of what stays in a warm sump"
        )
    low, high = np.min(share), np.max(share)
    if not (low >= 0 and high <= 1):
        raise ValueError(
            f"fuel in the oil: found a share of {low if low < 0 else high:g}; wanted 0 to 1; "
            "write 5 % as 0.05"
        )
