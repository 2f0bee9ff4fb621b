"""A Parquet table: of a large one only the columns that may be channels are read."""

import io
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

import polars as pl

from witnessmark.errors import UserError
from witnessmark.logs.channels.correct import Told
from witnessmark.logs.channels.naming import take_apart
from witnessmark.logs.delimited.cells import decimal_sign
from witnessmark.logs.delimited.fast import in_si
from witnessmark.logs.delimited.long import unfold
from witnessmark.logs.delimited.text import Raw
from witnessmark.logs.needed import needed
from witnessmark.logs.recordings.quiet import panics_unprinted
from witnessmark.logs.recordings.series import TellOf
from witnessmark.logs.table import RawColumn, Table
from witnessmark.logs.timing.times import pick
from witnessmark.model.log import Note
from witnessmark.units import Scale, known_unit

_SAMPLE = 2_000  # rows that tell what the columns are
_NESTED = (pl.List, pl.Array, pl.Struct, pl.Object, pl.Binary)


def read_parquet(raw: Raw, told: TellOf, only: Collection[str], large: bool) -> tuple[Table, str]:
    """The table and its decimal sign. UserError if the file is damaged or empty.

    `told`: what is said of columns. `large`: leave columns unread that no channel comes from,
    or none of `only`.
    """
    try:
        with panics_unprinted():
            lazy = pl.scan_parquet(raw.path or io.BytesIO(bytes(raw.data)))
            schema = lazy.collect_schema()
            units = _stated_units(raw)
            notes = _nested(schema)
            lazy = lazy.select([n for n, kind in schema.items() if not isinstance(kind, _NESTED)])
            lazy = lazy.select(_plain(n, k) for n, k in lazy.collect_schema().items())
            sample = _table(raw.name, lazy.head(_SAMPLE).collect(), schema, units, notes)
            if sample.rows == 0 or not sample.columns:
                raise _refused(raw.name, "there are no rows of readings in it")
            if not large or unfold(sample).long:
                whole = _table(raw.name, lazy.collect(), schema, units, notes)
                table = unfold(whole)
            else:
                table = _chosen(lazy, sample, told(sample.columns), only)
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, OSError, ValueError):
        raise _refused(raw.name, "the Parquet table is damaged or cut off") from None
    return replace(table, started=_started(lazy, schema, table)), _decimal(sample)


def _refused(name: str, found: str) -> UserError:
    return UserError(
        name, found, "a whole Parquet table is wanted", "Export it again, or export it as CSV"
    )


def _nested(schema: pl.Schema) -> list[Note]:
    return [
        Note(f"column '{name}'", "holds lists or records, not one reading a row: left out")
        for name, kind in schema.items()
        if isinstance(kind, _NESTED)
    ]


def _plain(name: str, kind: pl.DataType) -> pl.Expr:
    """A column as numbers or text. Dates with a time become microseconds since 1970."""
    column = pl.col(name)
    if isinstance(kind, pl.Datetime):
        return column.dt.cast_time_unit("us").to_physical().cast(pl.Float64)
    if isinstance(kind, pl.Duration):
        return column.dt.total_nanoseconds().cast(pl.Float64) / 1e9
    if isinstance(kind, pl.Date | pl.Time | pl.Categorical | pl.Enum):
        return column.cast(pl.String)
    if kind.is_numeric() or isinstance(kind, pl.Boolean):
        return column.cast(pl.Float64)
    return column.cast(pl.String).fill_null("")


def _table(
    name: str, frame: pl.DataFrame, schema: pl.Schema, units: dict[str, str],
    notes: Sequence[Note],
) -> Table:  # fmt: skip
    frame = frame.rechunk()
    columns = [
        RawColumn(c.name, units.get(c.name, "") or _own_unit(schema[c.name]),
                  "time" if isinstance(schema[c.name], pl.Datetime) else "", cells=c)
        for c in frame.get_columns()
    ]  # fmt: skip
    return Table(name, frame.height, columns, "", notes=tuple(notes))


def _own_unit(kind: pl.DataType) -> str:
    """The unit a kind of column brings with it, after `_plain`."""
    if isinstance(kind, pl.Datetime):
        return "us"
    return "s" if isinstance(kind, pl.Duration) else ""


def _chosen(
    lazy: pl.LazyFrame, sample: Table, told: Mapping[str, Told], only: Collection[str]
) -> Table:
    """Only the columns that are needed, in SI where the file says the unit."""
    time, date = pick(sample, told, _decimal(sample))
    times = {c.name for c in (time, date) if c is not None}
    used = {n: by for n, by in needed(sample.columns, told, only).items() if n not in times}
    numeric = {c.name for c in sample.columns if c.cells is not None and c.cells.dtype.is_float()}
    scales: dict[str, Scale] = {n: by for n, by in used.items() if by and n in numeric}
    kept = [c.name for c in sample.columns if c.name in times or c.name in used]
    frame = lazy.select(in_si(n, scales.get(n)) for n in kept).collect().rechunk()
    columns = [
        replace(c, cells=frame[c.name], si=c.name in scales) if c.name in kept
        else replace(c, cells=None, share=_filled(c))
        for c in sample.columns
    ]  # fmt: skip
    return replace(sample, rows=frame.height, columns=columns)


def _filled(column: RawColumn) -> float:
    """Share of the sample's cells with something in them."""
    assert column.cells is not None
    return 1.0 - column.cells.null_count() / max(len(column.cells), 1)


def _decimal(table: Table) -> str:
    texts = [c.cells for c in table.columns if c.cells is not None and c.cells.dtype == pl.String]
    signs = {decimal_sign(cells) for cells in texts} - {""}
    return signs.pop() if len(signs) == 1 else ""


def _started(lazy: pl.LazyFrame, schema: pl.Schema, table: Table) -> datetime | None:
    """The wall clock of the first row, as its own zone has it."""
    zoned = [n for n, k in schema.items() if isinstance(k, pl.Datetime) and k.time_zone]
    if not zoned:
        return None
    kind = schema[zoned[0]]
    assert isinstance(kind, pl.Datetime)
    first = lazy.select(pl.col(zoned[0]).drop_nulls().first()).collect().item()
    if first is None:
        return None
    utc = pl.Series([int(first)]).cast(pl.Datetime("us")).dt.replace_time_zone("UTC")
    found = utc.dt.convert_time_zone(kind.time_zone or "UTC").dt.replace_time_zone(None).item()
    assert isinstance(found, datetime)
    return found


def _stated_units(raw: Raw) -> dict[str, str]:
    """Units that the file names beside its columns, where a writer put them."""
    try:
        held = pl.read_parquet_metadata(raw.path or io.BytesIO(bytes(raw.data)))
    except (pl.exceptions.PolarsError, OSError):
        return {}
    found: dict[str, str] = {}
    for text in held.values():
        found.update(_units_in(text))
    return found


def _units_in(text: str) -> dict[str, str]:
    """Column -> unit out of one entry of metadata, if that is what it holds."""
    try:
        held: Any = json.loads(text)
    except ValueError:
        return {}
    held = held.get("units", held) if isinstance(held, dict) else None
    if not isinstance(held, dict):
        return {}
    return {
        str(name): unit for name, unit in held.items()
        if isinstance(unit, str) and known_unit(unit) and not take_apart(str(name)).unit
    }  # fmt: skip
