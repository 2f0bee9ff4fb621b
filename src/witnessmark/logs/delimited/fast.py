"""The quick way in for a large, perfectly regular log: polars reads only what is used."""

from collections.abc import Collection, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from polars.exceptions import PolarsError

from witnessmark.logs.delimited.cells import is_blank
from witnessmark.logs.delimited.layout import Layout
from witnessmark.logs.delimited.rows import trailing
from witnessmark.logs.delimited.text import Raw
from witnessmark.logs.table import RawColumn, Table
from witnessmark.units import Scale

WORTH = 2_000_000  # bytes; below, the careful way takes no time either
_BLOCK = 1 << 20  # bytes looked at in one go, to stay in the processor's cache


@dataclass(frozen=True)
class Wanted:
    """What to read. `time`: columns of stamps, as text or as numbers.

    `used`: the other columns by name, with the way to SI where it is known already: on the
    way in it costs nothing.
    """

    layout: Layout
    sample: Table
    decimal: str
    stamps: Collection[str]
    times: Collection[str]
    used: Mapping[str, Scale | None]

    def reads(self, name: str) -> bool:
        """Whether a column is needed at all."""
        return name in self.used or name in self.stamps or name in self.times

    def text(self, name: str, plain: bool) -> bool:
        """Whether a column comes as text; only times must be numbers when cells are not plain."""
        return name not in self.times and not (plain and name in self.used)


def read_fast(raw: Raw, want: Wanted) -> Table | None:
    """The columns wanted, as numbers where all cells are; None if the rows are uneven.

    Every column of the sample is in the answer.
    """
    layout = want.layout
    begin = _begin(raw, layout)
    if begin is None or layout.fields - layout.width not in (0, 1):
        return None
    if want.decimal == layout.delimiter:
        return None
    with ThreadPoolExecutor(1) as other:
        counting = other.submit(_count, raw, begin, ord(layout.delimiter))
        plain, frame = True, _scan(raw, want, True)
        if frame is None:
            plain, frame = False, _scan(raw, want, False)
        delimiters = counting.result()
    if frame is None or not _even(raw, begin, layout, frame, delimiters):
        return None
    if not plain and _repeats_header(frame, want):
        return None
    rows = frame.height
    columns = [_column(c, frame, want, plain) for c in want.sample.columns]
    notes = [trailing(rows)] if layout.fields > layout.width else []
    return Table(want.sample.name, rows, columns, layout.delimiter, notes=notes)


def _even(raw: Raw, begin: int, layout: Layout, frame: pl.DataFrame, delimiters: int) -> bool:
    """Whether every row has all its cells and none has more."""
    # As many delimiters as the rows need and none short: then none is long either.
    if delimiters != frame.height * (layout.fields - 1):
        return False
    empty = frame[frame.columns[-1]].null_count()
    if layout.fields > layout.width and empty < frame.height:
        return False
    return not empty or _even_lines(raw, begin, layout)


def _fields(layout: Layout) -> list[str]:
    """A name for every field of a row, the empty one at the end too."""
    return [*layout.labels, *[""] * (layout.fields - layout.width)]


def _scan(raw: Raw, want: Wanted, plain: bool) -> pl.DataFrame | None:
    """The columns wanted and the last one; None when a cell is not what it should be.

    `plain`: every cell of a used column must be a number.
    """
    names = _fields(want.layout)
    comma = want.decimal == ","
    try:
        rows = pl.scan_csv(
            raw.path or bytes(raw.data), has_header=False, separator=want.layout.delimiter,
            schema={n: pl.String if want.text(n, plain) else pl.Float64 for n in names},
            skip_lines=want.layout.body - 1, quote_char=None, decimal_comma=comma,
            raise_if_empty=False, null_values=_blanks(want.sample),
        )  # fmt: skip
        chosen = [n for n in names if want.reads(n) or n == names[-1]]
        by = want.used if plain else {}
        return rows.select([in_si(n, by.get(n)) for n in chosen]).collect()
    except (PolarsError, UnicodeDecodeError):
        return None


def _repeats_header(frame: pl.DataFrame, want: Wanted) -> bool:
    """Whether a row between the readings holds words where numbers belong, as a header does."""
    texts = [n for n in frame.columns if frame[n].dtype == pl.String and want.reads(n)]
    heads = dict(zip(want.layout.labels, zip(*want.layout.header, strict=False), strict=False))
    return any(frame[n].str.strip_chars().is_in(list(heads.get(n, ()))).any() for n in texts)


def in_si(name: str, by: Scale | None) -> pl.Expr:
    """A column of numbers turned into SI, where the way is known."""
    column = pl.col(name)
    if by is not None and by.factor != 1.0:
        column = column * by.factor
    return column + by.offset if by is not None and by.offset else column


def _begin(raw: Raw, layout: Layout) -> int | None:
    """Where the first row of readings starts in the file [bytes]."""
    at = 0
    for _ in range(layout.body - 1):
        at = raw.data.find(b"\n", at) + 1
        if at == 0:
            return None
    return at


def _blanks(sample: Table) -> list[str]:
    """The words for "nothing" met in the first rows; polars is told to expect them."""
    found: set[str] = set()
    for column in sample.columns:
        if column.cells is not None:
            found |= {c for c in column.cells.unique().to_list() if c and is_blank(c)}
    return sorted(found)


def _count(raw: Raw, begin: int, sign: int) -> int:
    cells = np.frombuffer(raw.data, dtype=np.uint8)
    return sum(
        int(np.count_nonzero(cells[i : i + _BLOCK] == sign))
        for i in range(begin, len(cells), _BLOCK)
    )


def _even_lines(raw: Raw, begin: int, layout: Layout) -> bool:
    """Whether every line has the same number of delimiters, line by line."""
    cells = np.frombuffer(raw.data, dtype=np.uint8)
    wanted, over = layout.fields - 1, 0
    for start in range(begin, len(cells), _BLOCK):
        block = cells[start : start + _BLOCK]
        ends = np.flatnonzero(block == ord("\n"))
        at = np.searchsorted(np.flatnonzero(block == ord(layout.delimiter)), ends)
        total = int(np.count_nonzero(block == ord(layout.delimiter)))
        if not ends.size:
            over += total
            continue
        counts = np.diff(at, prepend=0)
        counts[0] += over
        if (counts != wanted).any():
            return False
        over = total - int(at[-1])
    return over in (0, wanted)


def _column(column: RawColumn, frame: pl.DataFrame, want: Wanted, plain: bool) -> RawColumn:
    if not want.reads(column.name):
        share = 1.0 if column.cells is None else filled(column.cells)
        return replace(column, cells=None, share=share)
    # In one piece, so that numpy can use it where it lies; taken out, so that its pieces are let
    # go before the next one is put together.
    cells = frame.drop_in_place(column.name).rechunk()
    return replace(column, cells=cells, si=plain and want.used.get(column.name) is not None)


def filled(cells: pl.Series) -> float:
    """Share of cells with something in them."""
    if not len(cells):
        return 0.0
    return 1.0 - float(cells.str.strip_chars().str.len_bytes().eq(0).fill_null(True).sum()) / len(
        cells
    )
