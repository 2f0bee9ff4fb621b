"""A block of even lines into columns of text at once; uneven ones go row by row."""

from collections.abc import Sequence

import polars as pl
from polars.exceptions import PolarsError

from witnessmark.logs.delimited.cells import looks_like_reading
from witnessmark.logs.delimited.layout import Layout


def even_block(lines: Sequence[str], layout: Layout) -> list[pl.Series] | None:
    """All fields of these lines as text; None unless every line is a full row of readings."""
    text = "\n".join(lines)
    if "\0" in text or "\r" in text:
        return None
    quotes = text.count('"')
    # Either no cell is quoted or every one is; what lies between goes row by row.
    sign = f'"{layout.delimiter}"' if quotes else layout.delimiter
    if any(line.count(sign) != layout.fields - 1 for line in lines):
        return None
    if quotes and any(line.count('"') != 2 * layout.fields for line in lines):
        return None
    names = [str(i) for i in range(layout.fields)]
    try:
        frame = pl.read_csv(
            text.encode("utf-8", errors="replace"), has_header=False,
            schema=dict.fromkeys(names, pl.String), separator=layout.delimiter,
            quote_char='"' if quotes else None,
        ).fill_null("")  # fmt: skip
    except PolarsError:
        return None
    if frame.height != len(lines) or not _all_readings(frame, layout):
        return None
    return frame.get_columns()


def _all_readings(frame: pl.DataFrame, layout: Layout) -> bool:
    """Whether each row holds readings, not words, and nothing stands beyond the named columns."""
    columns = frame.get_columns()
    if any((extra != "").any() for extra in columns[layout.width :]):
        return False
    first = columns[0]
    heads = {head[0] for head in layout.header}
    doubtful = (~first.str.contains(r"^\d")).arg_true()
    return all(
        first[i].strip() not in heads and has_readings(frame.row(i)) for i in doubtful.to_list()
    )


def has_readings(row: Sequence[str]) -> bool:
    """Whether a row holds at least one number or time."""
    return any(cell and (cell[0].isdigit() or looks_like_reading(cell.strip())) for cell in row)
