"""The quick way in for a large, perfectly regular log: polars reads only what is used."""

from collections.abc import Collection, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import polars as pl
from polars.exceptions import PolarsError

from witnessmark.logs.cells import is_blank
from witnessmark.logs.layout import Layout
from witnessmark.logs.table import RawColumn, Table
from witnessmark.logs.text import Raw
from witnessmark.units import Scale

WORTH = 2_000_000  # bytes; below, the careful way takes no time either
_BLOCK = 1 << 20  # bytes looked at in one go, to stay in the processor's cache


def read_fast(
    raw: Raw,
    layout: Layout,
    sample: Table,
    texts: Collection[str],
    used: Mapping[str, Scale | None],
    decimal: str,
) -> Table | None:
    """The used columns as numbers (those in `texts` as text), or None if the file is untidy.

    `sample`: the first rows, read the careful way. Every column of it is in the answer.
    `used`: by name, the way to SI where it is known already: on the way in it costs nothing.
    """  # fmt: skip
    begin = _begin(raw, layout)
    names = [c.name for c in sample.columns]
    if begin is None or len(names) != layout.width or decimal == layout.delimiter:
        return None
    last = names[-1]
    with ThreadPoolExecutor(1) as other:
        counting = other.submit(_count, raw, begin, ord(layout.delimiter))
        try:
            frame = _scan(raw, layout, sample, texts, used, decimal)
        except (PolarsError, UnicodeDecodeError):
            return None
        delimiters = counting.result()
    # As many delimiters as the rows need and none short: then none is long either.
    if delimiters != frame.height * (layout.width - 1):
        return None
    if frame[last].null_count() and not _even_lines(raw, begin, layout):
        return None
    # In one piece each, so that numpy can use them where they lie.
    frame = frame.rechunk()
    columns = [_column(c, frame, texts, used) for c in sample.columns]
    return Table(sample.name, frame.height, columns, layout.delimiter)


def _scan(
    raw: Raw,
    layout: Layout,
    sample: Table,
    texts: Collection[str],
    used: Mapping[str, Scale | None],
    decimal: str,
) -> pl.DataFrame:
    """The used columns and the last one; PolarsError when a cell is not what it should be."""
    names = [c.name for c in sample.columns]
    rows = pl.scan_csv(
        raw.path or bytes(raw.data), has_header=False, separator=layout.delimiter,
        schema={n: pl.Float64 if n in used and n not in texts else pl.String for n in names},
        skip_lines=layout.body - 1, quote_char=None, decimal_comma=decimal == ",",
        raise_if_empty=False, null_values=_blanks(sample),
    )  # fmt: skip
    wanted = [n for n in names if n in used or n in texts or n == names[-1]]
    return rows.select([_in_si(n, used.get(n)) for n in wanted]).collect()


def _in_si(name: str, by: Scale | None) -> pl.Expr:
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
    wanted, over = layout.width - 1, 0
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


def _column(
    column: RawColumn,
    frame: pl.DataFrame,
    texts: Collection[str],
    used: Mapping[str, Scale | None],
) -> RawColumn:
    if column.name not in texts and column.name not in used:
        share = 1.0 if column.cells is None else filled(column.cells)
        return replace(column, cells=None, share=share)
    return replace(column, cells=frame[column.name], si=used.get(column.name) is not None)


def filled(cells: pl.Series) -> float:
    """Share of cells with something in them."""
    if not len(cells):
        return 0.0
    return 1.0 - float(cells.str.strip_chars().str.len_bytes().eq(0).fill_null(True).sum()) / len(
        cells
    )
