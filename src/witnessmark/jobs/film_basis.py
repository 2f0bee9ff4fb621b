"""Everything the films of a build are worked out from, books included."""

from dataclasses import replace

from witnessmark.jobs.film_book import film_book
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.lubrication.crank_of_build import crank_of_build
from witnessmark.lubrication.film_map import Basis
from witnessmark.lubrication.oil_of_build import oil_of_build
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.build import BuildSheet

_OF_OIL = ("oil.grade", "oil.kv40", "oil.kv100", "oil.density", "oil.hths")


def basis_of(sheet: BuildSheet) -> Basis:
    """Crank train, oil and books of a build.

    Raises UserError for an oil, a crank or bearings no film can be worked out for.
    """
    book, circuit = film_book(), lubrication_book()
    train, oil = crank_of_build(sheet, book, circuit), oil_of_build(sheet, circuit)
    told = {note.path for note in oil.assumed}
    own = (a for a in sheet.assumptions if a.path in _OF_OIL and a.path not in told)
    whole = replace(train, assumed=(*train.assumed, *own, *oil.assumed))
    return Basis(sheet, whole, book, circuit, oil.oil, oil.viscosity_sd, authority_of(sheet))


def authority_of(sheet: BuildSheet) -> Authority:
    """Who answers for films: the shop's sheet, worked out with our books."""
    owner = sheet.identity.shop or "build sheet"
    cite = "build sheet, book/film.toml, book/lubrication.toml"
    return Authority(owner, SourceKind.DERIVED, cite)
