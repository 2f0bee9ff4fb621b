"""Build sheets and books for these tests, made from the demo sheet and the shipped book."""

from functools import cache

from tests.model.sheets import HERON, LEAST, changed
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.model.build import BuildSheet, parse_build

BOOK = lubrication_book()


@cache
def heron(*more: tuple[str, str]) -> BuildSheet:
    return parse_build(changed(HERON, *more), "heron.toml")


@cache
def least() -> BuildSheet:
    """A V8 of which hardly anything was measured."""
    return parse_build(LEAST, "least.toml")


def with_oil(sheet: BuildSheet, **said) -> BuildSheet:
    """The sheet with another oil, past the reader's own checks."""
    return sheet.model_copy(update={"oil": sheet.oil.model_copy(update=said)})


def with_row(sheet: BuildSheet, row: str, **said) -> BuildSheet:
    return sheet.model_copy(update={row: getattr(sheet, row).model_copy(update=said)})


def book_with(section: str, **numbers: dict):
    """The shipped book with fields of numbers changed: book_with("sender", error={...})."""
    part = getattr(BOOK, section)
    new = {name: getattr(part, name).model_copy(update=how) for name, how in numbers.items()}
    return BOOK.model_copy(update={section: part.model_copy(update=new)})
