"""Logs with one reading a row: time, what it is, its value, maybe its unit."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import polars as pl

from witnessmark.logs.channels.naming import matches, take_apart
from witnessmark.logs.channels.vocabulary import fold, vocabulary
from witnessmark.logs.delimited.cells import is_blank, looks_like_reading
from witnessmark.logs.delimited.layout import bare_unit
from witnessmark.logs.table import RawColumn, Table
from witnessmark.logs.timing.clock import looks_like_stamp
from witnessmark.model.log import Note

_SAMPLE = 2000  # rows looked at to tell a long log
_BARE = r"^ *[+-]?[0-9]+(?:\.[0-9]+)? *$"
_MOST_NAMES = 2000  # more different names than this are no channel names


def unfold(table: Table) -> Table:
    """A long log as one column a channel; any other table as it came."""
    found = _parts(table.columns)
    if found is None:
        return table
    name, value, unit = found
    assert name.cells is not None and value.cells is not None
    frame = pl.DataFrame({"name": name.cells.str.strip_chars(), "row": np.arange(table.rows)})
    columns = [c for c in table.columns if c not in (name, value, unit)]
    used = {c.name for c in columns}
    for (label,), group in frame.group_by("name", maintain_order=True):
        rows = group["row"].to_numpy().astype(np.int64)
        if not label or (name.name == label):
            continue
        cells = value.cells.gather(rows)
        text = str(label) if label not in used else f"{label} (reading)"
        stated = _one_unit(unit.cells.gather(rows)) if unit and unit.cells is not None else ""
        columns.append(RawColumn(text, stated, cells=cells, rows=rows))
    note = Note("layout", f"one reading a row: '{name.name}' names it, '{value.name}' holds it")
    return replace(table, columns=columns, long=True, notes=(*table.notes, note))


def _one_unit(cells: pl.Series) -> str:
    """The unit most rows of a channel name."""
    counted = cells.drop_nulls().str.strip_chars().value_counts(sort=True)
    return bare_unit(str(counted[counted.columns[0]][0])) if len(counted) else ""


def _parts(columns: Sequence[RawColumn]) -> tuple[RawColumn, RawColumn, RawColumn | None] | None:
    """The columns of names, values and units, if this is a long log."""
    known = vocabulary()
    found = [c for c in columns if c.cells is not None and not _plainly_numbers(c.cells)]
    maybe = [(c, _sample(c)) for c in found]
    wordy = [(c, s) for c, s in maybe if s and _share_numeric(s) < 0.2 and not looks_like_stamp(s)]
    names = [c for c, s in wordy if _are_names(c, s)]
    if not names:
        return None
    name = names[0]
    rest = [(c, _sample(c)) for c in columns if c is not name and c.cells is not None]
    units = [c for c, _ in rest if _called(c, known.long_unit)]
    values = [c for c, s in rest if _called(c, known.long_value) and _share_numeric(s) > 0.2]
    if not values:
        times = known.time | known.time_plain
        numeric = [
            c for c, s in rest
            if _share_numeric(s) > 0.6 and not looks_like_stamp(s)
            and not set(take_apart(c.name).words) <= times
        ]  # fmt: skip
        # Without a column called "value" there must be only one it can be.
        values = numeric if len(numeric) == 1 else []
    return (name, values[0], units[0] if units else None) if values else None


def _plainly_numbers(cells: pl.Series) -> bool:
    """Whether over a fifth are bare numbers, told without looking at them one by one."""
    head = cells.head(_SAMPLE).cast(pl.String)
    return int(head.str.contains(_BARE).sum()) > 0.2 * len(head)


def _sample(column: RawColumn) -> list[str]:
    assert column.cells is not None
    head = column.cells.head(_SAMPLE).cast(pl.String)
    return [c for c in head.to_list() if c and not is_blank(c)]


def _share_numeric(cells: Sequence[str]) -> float:
    return sum(looks_like_reading(c.strip()) for c in cells) / max(len(cells), 1)


def _called(column: RawColumn, words: frozenset[str]) -> bool:
    return fold(column.name).strip() in words


def _are_names(column: RawColumn, cells: Sequence[str]) -> bool:
    """Names come again and again, and some of them are channels we know."""
    distinct = dict.fromkeys(c.strip() for c in cells)
    if len(distinct) > min(_MOST_NAMES, max(2, 0.6 * len(cells))):
        return False
    channels = sum(bool(matches(take_apart(text))) for text in list(distinct)[:300])
    return channels >= 2 or (channels >= 1 and _called(column, vocabulary().long_name))
