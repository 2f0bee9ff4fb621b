"""The rows of a log into columns of cells: line by line, for files of any tidiness."""

import csv
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

import numpy as np
import polars as pl

from witnessmark.errors import UserError
from witnessmark.logs.channels.naming import score
from witnessmark.logs.delimited.blocks import even_block, has_readings
from witnessmark.logs.delimited.cells import is_blank
from witnessmark.logs.delimited.layout import NAMES, Layout, split
from witnessmark.logs.delimited.text import LONGEST_LINE
from witnessmark.logs.table import RawColumn, Table
from witnessmark.model.log import Note

_CHUNK = 5_000  # lines at a time: large enough to be quick, small enough to stay in memory
# If more rows than this are short, the logger leaves empty cells at the end away; if fewer,
# those rows are damaged and their cells may stand under the wrong names. The same for rows with
# one empty cell too many.
_SHORT_HABIT = 0.2
_FEW_RUNS = 3  # so many stretches of short rows or fewer: not a habit, the columns changed
_SAME_NAMES = 0.5  # of the cells being the header's own makes a line the header again
_LOST_SHARE = 0.2  # of the lines being unreadable makes the file unreadable


@dataclass
class _Tally:
    """What was met on the way and has to be said. Lists hold line numbers."""

    rows: int = 0
    last: int = 0  # the last line that holds anything
    blank: int = 0
    trailing: int = 0  # rows that end in a delimiter as the rest of the file does
    extra: list[tuple[int, int]] = field(default_factory=list)  # those that do while few others do
    short: list[tuple[int, int]] = field(default_factory=list)  # line, row
    long: list[int] = field(default_factory=list)
    zeros: list[int] = field(
        default_factory=list
    )  # a lost write inside: no telling what stood there
    other: list[int] = field(default_factory=list)  # parted by another sign than the rest
    words: list[int] = field(default_factory=list)
    repeated: list[int] = field(default_factory=list)


def read_rows(
    name: str, lines: Iterator[str], layout: Layout, progress: Callable[[int], None] | None = None
) -> Table:
    """All columns as text. `lines` starts at the first line of the file.

    `progress` is told the characters read since the last call. UserError when the rows do
    not fit the header.
    """
    tally = _Tally()
    chunks: list[list[pl.Series]] = []
    number = layout.body
    body = islice(lines, layout.body - 1, None)
    while block := list(islice(body, _CHUNK)):
        columns = _tidy(name, block, number, layout, tally)
        if columns:
            chunks.append(columns)
        number += len(block)
        if progress:
            progress(sum(map(len, block)))
    _judge(name, layout, tally)
    series = [pl.concat(parts) for parts in zip(*chunks, strict=True)]
    if layout.fields > layout.width and not layout.names[-1] and _holds(series[-1]):
        # A header that ends in a delimiter as the rows do, but is one name short.
        raise _uneven(name, layout, "more", layout.body)
    notes = list(_notes(tally))
    if tally.short and not _is_few(tally.short, tally):
        notes.append(Note("rows", "many rows stop early: the cells left away are taken as empty"))
    drop = [row for uneven in (tally.short, tally.extra) if _is_few(uneven, tally)
            for _, row in uneven]  # fmt: skip
    if drop:
        keep = np.ones(tally.rows, dtype=bool)
        keep[drop] = False
        series = [s.filter(pl.Series(keep)) for s in series]
        tally.rows = int(keep.sum())
    return Table(name, tally.rows, _columns(layout, series), layout.delimiter, notes=notes)


def _columns(layout: Layout, series: Sequence[pl.Series]) -> list[RawColumn]:
    """The columns under their names; a nameless one is numbered, an empty nameless one left."""
    heads = zip(layout.labels, layout.names, layout.units, layout.also, series, strict=True)
    return [
        RawColumn(label, unit, also, cells=cells)
        for label, name, unit, also, cells in heads
        if name or _holds(cells)
    ]


def _holds(cells: pl.Series) -> bool:
    """Whether there is anything in a column."""
    return not cells.str.strip_chars().eq("").all()


def _tidy(
    name: str, block: list[str], number: int, layout: Layout, tally: _Tally
) -> list[pl.Series]:
    """Columns of exactly the right number out of a block of lines."""
    _refuse_long_lines(name, block, number)
    even = even_block(block, layout) if layout.fields >= layout.width else None
    if even is not None:
        tally.rows += len(block)
        tally.trailing += len(block) * (layout.fields > layout.width)
        tally.last = number + len(block) - 1
        return even[: layout.width]
    good = []
    if any("\0" in line for line in block):
        block = [line.strip("\0") for line in block]
    for at, row in enumerate(_split(block, layout.delimiter), number):
        if not any(cell.strip() for cell in row):
            tally.blank += 1
            continue
        tally.last = at
        if "\0" in block[at - number]:
            tally.zeros.append(at)
            continue
        fitted = _fit(name, row, at, layout, tally)
        if fitted is not None:
            good.append(fitted)
            tally.rows += 1
    return [pl.Series(list(cells), dtype=pl.String) for cells in zip(*good, strict=True)]


def _refuse_long_lines(name: str, block: Sequence[str], number: int) -> None:
    for at, line in enumerate(block, number):
        if len(line) > LONGEST_LINE:
            raise UserError(
                f"{name}, line {at}", f"the line is {len(line):,} characters long",
                "one row of readings a line is wanted", "Export the log again as CSV",
            )  # fmt: skip


def _split(block: list[str], delimiter: str) -> list[list[str]]:
    text = "".join(block)
    if '"' not in text:
        return [line.split(delimiter) for line in block]
    if any(line.count('"') % 2 for line in block):
        return [split(line, delimiter) for line in block]
    rows = list(csv.reader(block, delimiter=delimiter))
    # A quote inside a cell may still have joined or dropped lines: then one by one.
    return rows if len(rows) == len(block) else [split(line, delimiter) for line in block]


def _fit(name: str, row: list[str], at: int, layout: Layout, tally: _Tally) -> list[str] | None:
    """The row at the header's width, or None (and why, in the tally)."""
    stripped = tuple(cell.strip() for cell in row)
    if any(_is_head(stripped, head) for head in layout.header):
        tally.repeated.append(at)
        return None
    if not has_readings(row):
        _refuse_other_names(name, stripped, at)
        tally.words.append(at)
        return None
    return _at_width(row, at, layout, tally)


def _at_width(row: list[str], at: int, layout: Layout, tally: _Tally) -> list[str] | None:
    """A row of readings cut or filled up to the header's width, or None if it does not fit."""
    width = layout.width
    if len(row) > width:
        if any(not is_blank(cell) for cell in row[width:]):
            tally.long.append(at)
            return None
        if len(row) == layout.fields:
            tally.trailing += 1
        else:
            tally.extra.append((at, tally.rows))
        return row[:width]
    # Where rows end in a delimiter, one without it and without its last cell lost another one.
    if len(row) < width or (layout.fields > width and is_blank(row[-1])):
        if _parted_otherwise(row, layout.delimiter):
            tally.other.append(at)
            return None
        tally.short.append((at, tally.rows))
        return row + [""] * (width - len(row))
    return row


def _parted_otherwise(row: Sequence[str], delimiter: str) -> bool:
    """Whether a short row's cells stand between signs that are not this file's delimiter."""
    others = [sign for sign in NAMES if sign != delimiter]
    return any(cell.count(sign) > 1 for cell in row for sign in others)


def _is_head(cells: Sequence[str], head: Sequence[str]) -> bool:
    """Whether a line is the header once more, whole, cut off or damaged."""
    if tuple(cells[: len(head)]) == tuple(head[: len(cells)]):
        return True
    same = sum(a == b and a != "" for a, b in zip(cells, head, strict=False))
    return same > 1 and same >= _SAME_NAMES * sum(map(bool, head))


def _refuse_other_names(name: str, cells: Sequence[str], at: int) -> None:
    """Other column names between the readings: from there on the columns mean other things."""
    if sum(score(cell) > 0 for cell in cells[:50]) >= 2:
        raise UserError(
            f"{name}, line {at}", "other column names begin here",
            "one set of columns for the whole log is wanted",
            "Cut the file at this line and give the part you want judged",
        )  # fmt: skip


def _is_few(uneven: Sequence[tuple[int, int]], tally: _Tally) -> bool:
    return len(uneven) <= _SHORT_HABIT * tally.rows


def _judge(name: str, layout: Layout, tally: _Tally) -> None:
    """Refuse a file whose rows do not fit its header."""
    lines = tally.rows + len(tally.long) + len(tally.words) + len(tally.other)
    if len(tally.other) > _LOST_SHARE * lines:
        raise UserError(
            f"{name}, line {tally.other[0]}", "from here on cells are parted by another sign",
            "one delimiter in a file is wanted", "Export the log again, or cut it in two there",
        )  # fmt: skip
    if len(tally.long) > _LOST_SHARE * lines:
        wide, at = "more", tally.long[0]
    elif tally.short and (len(tally.short) == tally.rows > 1 or _in_a_stretch(tally.short, tally)):
        wide, at = "fewer", tally.short[0][0]
    elif _in_a_stretch(tally.extra, tally):
        wide, at = "more", tally.extra[0][0]
    elif tally.rows == 0:
        raise UserError(
            name, "column names but no readings", "at least two rows of readings are wanted",
            "Log for longer, or export the readings too",
        )  # fmt: skip
    else:
        return
    raise _uneven(name, layout, wide, at)


def _uneven(name: str, layout: Layout, wide: str, at: int) -> UserError:
    hint = ""
    if layout.delimiter == "," and wide == "more":
        hint = "; decimal commas in a log parted by commas do this"
    return UserError(
        f"{name}, line {at}",
        f"the row has {wide} cells than the {layout.width} column names (parted by "
        f"{NAMES[layout.delimiter]}{hint})",
        "each row must fill the columns named above it",
        "Export the log again, with semicolons between the cells",
    )


def _in_a_stretch(uneven: Sequence[tuple[int, int]], tally: _Tally) -> bool:
    """Many uneven rows, but all in a few stretches: no logger's habit, the columns changed."""
    if _is_few(uneven, tally):
        return False
    rows = np.array([row for _, row in uneven])
    return int((np.diff(rows) > 1).sum()) + 1 <= _FEW_RUNS


def _notes(tally: _Tally) -> Iterator[Note]:
    few = _is_few(tally.extra, tally)
    if many := tally.trailing + (0 if few else len(tally.extra)):
        yield trailing(many)
    if few and tally.extra:
        at = _at([at for at, _ in tally.extra])
        yield Note(at, f"{_count(len(tally.extra), 'row')} with one empty cell too many dropped")
    if tally.repeated:
        yield Note(_at(tally.repeated), "column names repeated between the readings: skipped")
    if tally.words:
        yield Note(_at(tally.words), f"{_count(len(tally.words), 'line')} without readings skipped")
    if tally.zeros:
        said = f"{_count(len(tally.zeros), 'row')} with zeros of a lost write inside dropped"
        yield Note(_at(tally.zeros), said)
    if tally.other:
        said = f"{_count(len(tally.other), 'row')} parted by another sign dropped"
        yield Note(_at(tally.other), said)
    if tally.long:
        yield Note(_at(tally.long), f"{_count(len(tally.long), 'row')} with too many cells dropped")
    short = [at for at, _ in tally.short]
    if short and _is_few(tally.short, tally):
        if short == [tally.last]:
            yield Note(f"line {tally.last}", "the last row is cut off: dropped")
        else:
            yield Note(_at(short), f"{_count(len(short), 'row')} with too few cells dropped")


def trailing(rows: int) -> Note:
    """Rows that end in a delimiter, so that a careless reader would shift their cells."""
    return Note("rows", f"{_count(rows, 'row')} with an extra empty cell at the end")


def _count(n: int, what: str) -> str:
    return f"{n:,} {what}{'s' * (n != 1)}"


def _at(numbers: Sequence[int]) -> str:
    """ "line 12", "lines 12, 40, 77", "line 12 and 30 more"."""
    if len(numbers) == 1:
        return f"line {numbers[0]}"
    if len(numbers) <= 3:
        return "lines " + ", ".join(map(str, numbers))
    return f"line {numbers[0]} and {len(numbers) - 1:,} more"
