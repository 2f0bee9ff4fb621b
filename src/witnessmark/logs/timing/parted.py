"""A time in two columns: whole seconds in the one, the milliseconds of each in the other."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import polars as pl

from witnessmark.logs.channels.naming import take_apart
from witnessmark.logs.table import RawColumn, Table
from witnessmark.model.log import Note
from witnessmark.units import Kind, scale

_SAMPLE = 2_000  # rows looked at
_MILLI = 1e-3


def joined(table: Table) -> Table:
    """The table with such a pair as one column; any other table as it came."""
    pair = parted(table.columns)
    if pair is None:
        return table
    whole, part = pair
    assert whole.cells is not None and part.cells is not None
    cells = whole.cells.str.strip_chars() + "." + part.cells.str.strip_chars().str.zfill(3)
    columns = [replace(c, cells=cells) if c is whole else c for c in table.columns if c is not part]
    said = f"'{part.name}' holds the milliseconds of each second: joined"
    note = Note(f"column '{whole.name}'", said)
    return replace(table, columns=columns, notes=(*table.notes, note))


def parted(columns: Sequence[RawColumn]) -> tuple[RawColumn, RawColumn] | None:
    """The column of whole seconds and the one of milliseconds right behind it, if there are."""
    for whole, part in pairwise(columns):
        if _is_whole(whole) and _is_part(part) and _runs_on(whole, part):
            return whole, part
    return None


def _head(column: RawColumn) -> pl.Series | None:
    if column.cells is None or column.rows is not None or column.cells.dtype != pl.String:
        return None
    return column.cells.head(_SAMPLE).str.strip_chars()


def _is_whole(column: RawColumn) -> bool:
    head = _head(column)
    return head is not None and bool(head.str.contains(r"^(?:\d+|(?:.*\D)?\d\d:\d\d:\d\d)$").all())


def _is_part(column: RawColumn) -> bool:
    """Called milliseconds, and never more than 999 of them."""
    named = take_apart(column.name, column.unit)
    unit = named.unit or column.name.strip().lower()
    by = scale(unit, Kind.DURATION)
    head = _head(column)
    if by is None or abs(by.factor - _MILLI) > 1e-9 or head is None:
        return False
    return bool(head.str.contains(r"^\d{1,3}$").all())


def _runs_on(whole: RawColumn, part: RawColumn) -> bool:
    """Whether the parts start again with each new second, and only then."""
    seconds, parts = _head(whole), _head(part)
    assert seconds is not None and parts is not None
    new = (seconds != seconds.shift(1)).slice(1)
    back = (parts.cast(pl.Int64).diff() < 0).slice(1)
    return bool(back.any()) and bool((~back | new).all()) and not bool(new.all())
