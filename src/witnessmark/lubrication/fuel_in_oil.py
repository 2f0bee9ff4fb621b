"""The oil of a sump that fuel has got into."""

from witnessmark.model.build import BuildSheet
from witnessmark.model.lubrication_book import LubricationBook, si
from witnessmark.physics.oil.dilution import Diluent, diluted
from witnessmark.physics.oil.oil import Oil


def thinned(sheet: BuildSheet, book: LubricationBook, oil: Oil, share: float) -> Oil:
    """The thinnest oil that a share of this engine's fuel may have left.

    Parameters
    ----------
    sheet : Its fuel; an ethanol blend counts as petrol.
    book : What stays of a fuel in a warm sump.
    oil : The oil without it.
    share : Mass of fuel over mass of both, 0 to 1. [-]

    Returns
    -------
    Oil: the thin end of `diluted`, whose rules are 1.2 times apart at 5 %.
    """
    if share == 0:
        return oil
    fuel = book.drift.fuel["diesel" if sheet.fuel.kind == "diesel" else "petrol"]
    return diluted(oil, share, Diluent(si(fuel.kv40), si(fuel.kv100), si(fuel.density))).low
