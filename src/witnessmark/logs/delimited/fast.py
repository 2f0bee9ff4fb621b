"""The quick way in for a large, perfectly regular log: polars reads only what is used."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import polars as pl
from polars.exceptions import PolarsError

from witnessmark.logs.delimited.layout import Layout
from witnessmark.logs.delimited.plain import (
    Uneven,
    Wanted,
    even_lines,
    fields_of,
    read_plain,
)
from witnessmark.logs.delimited.rows import trailing
from witnessmark.logs.delimited.text import Raw
from witnessmark.logs.table import RawColumn, Table
from witnessmark.units import Scale

WORTH = 2_000_000  # bytes; below, the careful way takes no time either
_BLOCK = 1 << 20  # bytes looked at in one go, to stay in the processor's cache


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
    read = read_plain(raw, begin, want)
    if isinstance(read, Uneven):
        return None
    plain = read is not None
    read = read or _texts(raw, begin, want)
    if read is None:
        return None
    rows, cells = read
    columns = [_column(c, cells, want, plain) for c in want.sample.columns]
    notes = [trailing(rows)] if layout.fields > layout.width else []
    return Table(want.sample.name, rows, columns, layout.delimiter, notes=notes)


def _texts(raw: Raw, begin: int, want: Wanted) -> tuple[int, dict[str, pl.Series]] | None:
    """The columns wanted as text, for some of their cells are no plain numbers."""
    layout = want.layout
    with ThreadPoolExecutor(1) as other:
        counting = other.submit(_count, raw, begin, ord(layout.delimiter))
        frame = _scan(raw, want)
        delimiters = counting.result()
    if frame is None or not _even(raw, begin, layout, frame, delimiters):
        return None
    if _repeats_header(frame, want):
        return None
    rows = frame.height
    # Each in one piece, so that numpy can use it where it lies.
    return rows, {n: frame.drop_in_place(n).rechunk() for n in frame.columns}


def _even(raw: Raw, begin: int, layout: Layout, frame: pl.DataFrame, delimiters: int) -> bool:
    """Whether every row has all its cells and none has more."""
    # As many delimiters as the rows need and none short: then none is long either.
    if delimiters != frame.height * (layout.fields - 1):
        return False
    empty = frame[frame.columns[-1]].null_count()
    if layout.fields > layout.width and empty < frame.height:
        return False
    return not empty or even_lines(raw.data, begin, layout)


def _scan(raw: Raw, want: Wanted) -> pl.DataFrame | None:
    """The columns wanted and the last one, as text; None when a time is no number."""
    names = fields_of(want.layout)
    comma = want.decimal == ","
    try:
        rows = pl.scan_csv(
            raw.path or bytes(raw.data), has_header=False, separator=want.layout.delimiter,
            schema={n: pl.String if want.text(n, False) else pl.Float64 for n in names},
            skip_lines=want.layout.body - 1, quote_char=None, decimal_comma=comma,
            raise_if_empty=False, null_values=want.blanks,
        )  # fmt: skip
        chosen = [n for n in names if want.reads(n) or n == names[-1]]
        return rows.select(chosen).collect()
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


def _count(raw: Raw, begin: int, sign: int) -> int:
    cells = np.frombuffer(raw.data, dtype=np.uint8)
    return sum(
        int(np.count_nonzero(cells[i : i + _BLOCK] == sign))
        for i in range(begin, len(cells), _BLOCK)
    )


def _column(column: RawColumn, cells: dict[str, pl.Series], want: Wanted, plain: bool) -> RawColumn:
    if not want.reads(column.name):
        share = 1.0 if column.cells is None else filled(column.cells)
        return replace(column, cells=None, share=share)
    si = plain and want.used.get(column.name) is not None
    return replace(column, cells=cells.pop(column.name), si=si)


def filled(cells: pl.Series) -> float:
    """Share of cells with something in them."""
    if not len(cells):
        return 0.0
    return 1.0 - float(cells.str.strip_chars().str.len_bytes().eq(0).fill_null(True).sum()) / len(
        cells
    )
