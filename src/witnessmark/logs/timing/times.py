"""Which column is time."""

import re
from collections.abc import Mapping, Sequence
from typing import NoReturn

import numpy as np
import polars as pl

from witnessmark.errors import UserError
from witnessmark.logs.channels.correct import TIME, Told
from witnessmark.logs.channels.naming import Named, matches, take_apart
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.logs.table import RawColumn, Table
from witnessmark.logs.timing.clock import (
    Ticks,
    from_cells,
    from_numbers,
    join_date,
    looks_like_stamp,
)
from witnessmark.units import Kind, scale

_SAMPLE = 500  # rows tried to tell a usable time column
_NAMELESS = re.compile(r"column \d+")
_EVEN = 20.0  # a step of time is at most so many times the usual one where nothing else tells
_MORE_DISTINCT = 1.5  # so many times more distinct stamps make another time column the better
_BARE_UNITS = frozenset(("s", "sec", "ms", "msec", "us", "µs"))


def pick(
    table: Table, told: Mapping[str, Told], decimal: str
) -> tuple[RawColumn, RawColumn | None]:
    """The time column, and the date column beside it if there is one.

    UserError naming the columns when there is none.
    """
    candidates = [c for c in table.columns if c.rows is None and c.cells is not None]
    for column in candidates:
        if column.name in told and told[column.name].channel == TIME:
            return column, None
    free = [c for c in candidates if c.name not in told]
    dates = [c for c in free if _is_date(c)]
    best: tuple[float, RawColumn] | None = None
    for column in free:
        if column in dates or not _named_time(column):
            continue
        distinct = _distinct(column, decimal, table.delimiter)
        if distinct and (best is None or distinct > _MORE_DISTINCT * best[0]):
            best = (distinct, column)
    if best is None and dates and _distinct(dates[0], decimal, table.delimiter):
        return dates[0], None
    if best is None:
        time = _behaves(free, decimal, table.delimiter)
        if time is None:
            _refuse(table)
        return time, None
    time = best[1]
    day = dates[0] if dates and looks_like_stamp(_head(time)) and not _has_date(time) else None
    return time, day


def _behaves(columns: Sequence[RawColumn], decimal: str, delimiter: str) -> RawColumn | None:
    """The first column that is called nothing we know but runs as time does."""
    if all(_NAMELESS.fullmatch(column.name) for column in columns):
        return None
    return next((c for c in columns if _runs(c, decimal, delimiter)), None)


def _runs(column: RawColumn, decimal: str, delimiter: str) -> bool:
    """Whether a column of no known name holds stamps, or numbers that run on as seconds do."""
    assert column.cells is not None
    named = take_apart(column.name, column.unit)
    if any(not m.left for m in matches(named)) or _distinct(column, decimal, delimiter) < 1:
        return False
    if looks_like_stamp(_head(column)):
        return True
    unit, cells = _unit(column), column.cells.head(_SAMPLE).cast(pl.String)
    seconds = from_cells(cells, unit, decimal, delimiter).seconds
    steps = np.diff(seconds[np.isfinite(seconds)])
    if not steps.size or steps.min() <= 0 or steps.max() > _EVEN * np.median(steps):
        return False
    # Whole steps may number the rows; a unit, a word or parts of a second tell time.
    told = (bool(unit) and named.sure) or bool(set(named.words) & vocabulary().time)
    return told or bool((np.mod(steps, 1) != 0).any())


def is_time(column: RawColumn) -> bool:
    """Whether a column is named as a time or a date."""
    return _named_time(column) or _is_date(column)


def ticks(
    time: RawColumn, date: RawColumn | None, told: Mapping[str, Told], decimal: str, delimiter: str
) -> Ticks:
    """Seconds of each row."""
    assert time.cells is not None
    unit = told[time.name].unit if time.name in told else _unit(time)
    if date is not None and date.cells is not None:
        return from_cells(join_date(date.cells, time.cells), "", decimal, delimiter)
    if time.cells.dtype != pl.String:
        values = time.cells.fill_null(float("nan")).to_numpy()
        head = values[: 10 * _SAMPLE]
        whole = bool(np.all(np.mod(head[np.isfinite(head)], 1) == 0))
        return from_numbers(values, unit, whole)
    return from_cells(time.cells, unit, decimal, delimiter)


def _unit(column: RawColumn) -> str:
    named = take_apart(column.name, column.unit)
    if named.unit and scale(named.unit, Kind.DURATION) is not None:
        return named.unit
    # "milliseconds" alone is both the name and the unit.
    whole = column.name.strip().lower()
    return whole if scale(whole, Kind.DURATION) is not None and whole else ""


def _named_time(column: RawColumn) -> bool:
    known = vocabulary()
    if column.name.strip().lower() in _BARE_UNITS:
        return True
    return any(
        set(named.words) & known.time and set(named.words) - named.tail <= known.time_plain
        for named in _both(column)
    )


def _both(column: RawColumn) -> list[Named]:
    named = [take_apart(column.name, column.unit)]
    return [*named, take_apart(column.also, column.unit)] if column.also else named


def _head(column: RawColumn) -> list[str]:
    assert column.cells is not None
    if column.cells.dtype != pl.String:
        return []
    return [c for c in column.cells.head(_SAMPLE).to_list() if c and c.strip()]


def _is_date(column: RawColumn) -> bool:
    if not any("date" in named.words for named in _both(column)):
        return False
    head = _head(column)
    return looks_like_stamp(head) and _has_date(column) and not any(":" in c for c in head)


def _has_date(column: RawColumn) -> bool:
    head = _head(column)
    return any(sum(c.count(sign) for sign in "-/.") >= 2 for c in head[:1])


def _distinct(column: RawColumn, decimal: str, delimiter: str) -> float:
    """Share of the first rows with a stamp of their own; 0 for a column that is no time."""
    assert column.cells is not None
    found = from_cells(
        column.cells.head(_SAMPLE).cast(pl.String), _unit(column), decimal, delimiter
    )
    good = found.seconds[np.isfinite(found.seconds)]
    if good.size < 0.5 * len(found.seconds) or good.size < 1:
        return 0.0
    share = len(np.unique(good)) / good.size
    return 0.0 if share == 1 / good.size and good.size > 1 else share


def _refuse(table: Table) -> NoReturn:
    still = [c.name for c in table.columns if c.cells is not None and _named_time(c)]
    if still:
        raise UserError(
            f"{table.name}, column '{still[0]}'", "time stands still or cannot be read",
            "the time of each row is wanted",
            "Name another time column: --channel 'COLUMN=time:s', or log with time",
        )  # fmt: skip
    names: Sequence[str] = [f"'{c.name}'" for c in table.columns if c.rows is None]
    listed = ", ".join(names[:30]) + (" and more" if len(names) > 30 else "")
    raise UserError(
        table.name, f"no time column among {listed}", "the time of each row is wanted",
        "Name it and its unit, for example --channel 'COLUMN=time:s', or log with time",
    )  # fmt: skip
