"""Read book/lubrication.toml."""

import hashlib
import tomllib
from functools import cache
from importlib.resources import files

from witnessmark.model.faults import read_as
from witnessmark.model.lubrication_book import LubricationBook


@cache
def lubrication_book() -> LubricationBook:
    """The shipped numbers. Raises UserErrors with every fault, should somebody have edited them."""
    text = files("witnessmark").joinpath("book", "lubrication.toml").read_text("utf-8")
    return read_as(LubricationBook, tomllib.loads(text), "shipped lubrication.toml")


@cache
def lubrication_hash() -> str:
    """SHA-256 of the shipped numbers, as hexadecimal."""
    data = files("witnessmark").joinpath("book", "lubrication.toml").read_bytes()
    return hashlib.sha256(data.replace(b"\r\n", b"\n")).hexdigest()
