"""Read book/film.toml."""

import tomllib
from functools import cache
from importlib.resources import files

from witnessmark.model.faults import read_as
from witnessmark.model.film_book import FilmBook


@cache
def film_book() -> FilmBook:
    """The shipped numbers. Raises UserErrors with every fault, should somebody have edited them."""
    text = files("witnessmark").joinpath("book", "film.toml").read_text("utf-8")
    return read_as(FilmBook, tomllib.loads(text), "shipped film.toml")
