"""What films are tested on: the demo engine, a coarse map, and a way to change the film book."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache

import numpy as np

from tests.lubrication.builds import heron
from witnessmark.jobs import film, film_basis
from witnessmark.jobs.film_basis import basis_of
from witnessmark.jobs.film_book import film_book
from witnessmark.lubrication.film import Films, Vary, films_at, loads_at
from witnessmark.lubrication.film_map import Basis
from witnessmark.lubrication.gas_of_build import Points

FILM_BOOK = film_book()
C = 273.15
RPM = 1 / 60
ATM = 101_325.0  # Pa, ISO 2533:1975


def film_book_with(section: str, **numbers: dict):
    """The shipped film book with numbers changed: film_book_with("map", step={"value": ...})."""
    part = getattr(FILM_BOOK, section)
    new = {name: getattr(part, name).model_copy(update=how) for name, how in numbers.items()}
    return FILM_BOOK.model_copy(update={section: part.model_copy(update=new)})


COARSE = film_book_with(
    "map", step={"value": "2000 rpm", "range": ("2000 rpm", "2000 rpm")},
    loads={"value": "3", "range": ("3", "3")}, boosts={"value": "1", "range": ("1", "1")},
)  # fmt: skip


@contextmanager
def coarse_maps() -> Iterator[None]:
    """Inside, the jobs work out maps of few points: a whole one takes seconds."""
    homes = (film, film_basis)
    kept = [home.film_book for home in homes]
    for home in homes:
        home.film_book = lambda: COARSE
    try:
        yield
    finally:
        for home, book in zip(homes, kept, strict=True):
            home.film_book = book


@cache
def basis(*more: tuple[str, str]) -> Basis:
    """The demo engine with a map of few points."""
    return replace(basis_of(heron(*more)), book=COARSE)


def points(rpm, intake) -> Points:
    speed, pressure = np.broadcast_arrays(np.atleast_1d(rpm) * RPM, np.atleast_1d(intake))
    return Points(speed.astype(float), pressure.astype(float), np.ones(speed.shape))


def films(rpm, intake=ATM, celsius=(120.0,), on: Basis | None = None, oil=None, vary=None) -> Films:
    """Films of the demo engine at some speeds, intake pressures and oil temperatures."""
    basis_ = on or basis()
    pins = loads_at(basis_.train, points(rpm, intake))
    return films_at(basis_.train, pins, oil or basis_.oil, np.array(celsius) + C, vary or Vary())
