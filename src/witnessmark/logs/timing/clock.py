"""Seconds out of a time column: numbers, times of day, dates, and what was made of them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import polars as pl

from witnessmark.logs.delimited.cells import numbers
from witnessmark.model.log import Floats
from witnessmark.units import Kind, scale

DAY = 86_400.0
# Numbers this large are seconds (milli-, micro-, nanoseconds) since 1970: 2001 to 2096.
_EPOCHS = ((1e9, 4e9, 1.0), (1e12, 4e12, 1e-3), (1e15, 4e15, 1e-6), (1e18, 4e18, 1e-9))
_SPREADSHEET_DAYS = (20_000.0, 80_000.0)  # days since 1899-12-30: 1954 to 2119
# A logger takes a row every 0.5 ms to 60 s; whole steps of 5 and more are milliseconds.
_HEAD = 20_000  # rows that show what the step is
_FEW_ROWS, _NEARLY_ALL = 20, 0.9  # enough rows to see how a clock moves on
_SHORTEST_STEP, _WHOLE_STEP, _MICRO_STEP = 0.0005, 5.0, 5000.0

_DATE = r"(?:(\d{1,4})[-/.](\d{1,2}|[A-Za-z]{3,9})[-/.](\d{1,4})[T\s,]*)?"
_CLOCK = r"(?:(\d{1,3}):(\d{1,2})(?::(\d{1,2}))?(?:[.,:](\d{1,9}))?)?"
_STAMP = rf"^\s*{_DATE}{_CLOCK}\s*([AaPp])?\.?[Mm]?\.?\s*(?:Z|UTC|GMT|[+-]\d\d:?\d\d)?\s*$"
# "20261125T103000" and "Wed Nov 25 10:30:00 GMT+01:00 2026", put into the order above.
_COMPACT = r"^\s*(\d{4})(\d\d)(\d\d)[T _-]?(\d\d)(\d\d)(\d\d)"
_SPELT = (
    r"^\s*(?:[A-Za-z]{3},? )?([A-Za-z]{3}) +(\d{1,2}) "
    r"(\d\d:\d\d:\d\d[.\d]*)(?: [A-Z]\S*)? (\d{4})"
)
_MONTHS = (
    ("jan", 1), ("feb", 2), ("mar", 3), ("mär", 3), ("apr", 4), ("avr", 4), ("may", 5),
    ("mai", 5), ("jun", 6), ("jul", 7), ("aug", 8), ("sep", 9), ("oct", 10), ("okt", 10),
    ("nov", 11), ("dec", 12), ("dez", 12),
)  # fmt: skip


@dataclass(frozen=True)
class Ticks:
    """Seconds of each row as the file tells them, NaN where it does not.

    `of_day`: they are times of day and start again at midnight. `started`: the wall clock of
    the first row. `said`: what was decided, in words.
    """

    seconds: Floats
    of_day: bool = False
    started: datetime | None = None
    said: str = ""


def looks_like_stamp(cells: Sequence[str]) -> bool:
    """Whether most of these cells are times of day or dates."""
    filled = _in_order(pl.Series([c for c in cells if c.strip()], dtype=pl.String)).to_list()
    good = sum(bool(re.match(_STAMP, c)) and any(x in c for x in ":-/.") for c in filled)
    return bool(filled) and good > 0.8 * len(filled) and not _all_numbers(filled)


def _in_order(cells: pl.Series) -> pl.Series:
    """Stamps written together or spelt out, as dates and times of the usual order."""
    return cells.str.replace(_COMPACT, "$1-$2-$3 $4:$5:$6").str.replace(_SPELT, "$2-$1-$4 $3")


def _all_numbers(cells: Sequence[str]) -> bool:
    return all(re.fullmatch(r"\s*[+-]?\d*[.,]?\d+(?:[eE][+-]?\d+)?\s*", c) for c in cells)


def from_numbers(values: Floats, unit: str, whole: bool) -> Ticks:
    """Seconds from a numeric time column. `whole`: its cells hold whole numbers only."""
    known = scale(unit, Kind.DURATION) if unit else None
    head = values[:_HEAD]
    finite = head[np.isfinite(head)]
    first = float(finite[0]) if finite.size else 0.0
    for low, high, factor in _EPOCHS:
        if low < first < high and (known is None or abs(known.factor - factor) < 1e-12):
            # Small numbers first: a double keeps nanoseconds of an hour, not of 50 years.
            return Ticks((values - first) * factor, False, _since_1970(first * factor))
    if known is None and _are_figures_of_a_clock(finite):
        return Ticks(_clock_of_figures(values), True, said="time read as hours, minutes, seconds")
    steps = np.diff(finite)
    steps = steps[steps > 0]
    step = float(np.median(steps)) if steps.size else 1.0
    if known is not None:
        return _stated(values, unit, known.factor, step)
    if _SPREADSHEET_DAYS[0] < first < _SPREADSHEET_DAYS[1] and step < 0.01:
        started = datetime(1899, 12, 30) + timedelta(days=first)
        return Ticks((values - first) * DAY, False, started, "time read as a spreadsheet's days")
    if 0 <= first < 1 and step < _SHORTEST_STEP / 5:
        return Ticks(values * DAY, True, said="time read as parts of a day, as spreadsheets count")
    factor, name = _guess(step, whole)
    return Ticks(values * factor, said=f"no unit named: read as {name}, by its step of {step:g}")


def _are_figures_of_a_clock(values: Floats) -> bool:
    """ "103059.5" for 10:30:59.5: no number ever ends in 60 to 99, though they pass by there."""
    if not values.size or values.min() < 0 or values.max() >= 240_000:
        return False
    passed = np.diff(np.floor(values / 100)).clip(0, 1).sum()
    inside = bool((values % 100 < 60).all() and (values // 100 % 100 < 60).all())
    steps = np.diff(values)
    # Once each hundred the clock leaps by 40; a log that only pauses there is hard to think of.
    return inside and passed >= 1 and bool((steps > 40).sum() == passed)


def _clock_of_figures(values: Floats) -> Floats:
    result: Floats = values // 10_000 * 3600 + values // 100 % 100 * 60 + values % 100
    return result


def _stated(values: Floats, unit: str, factor: float, step: float) -> Ticks:
    """Seconds by the unit the file names, unless no logger could be that fast."""
    if factor < 1 and step * factor < _SHORTEST_STEP / 10 and step >= _SHORTEST_STEP:
        said = f"the file says {unit}, but a step of {step:g} only makes sense in seconds"
        return Ticks(values, said=said)
    return Ticks(values * factor)


def _guess(step: float, whole: bool) -> tuple[float, str]:
    if whole and step >= _MICRO_STEP:
        return 1e-6, "microseconds"
    if (whole and step >= _WHOLE_STEP) or step > 60:
        return 1e-3, "milliseconds"
    return 1.0, "seconds"


def _since_1970(seconds: float) -> datetime:
    return datetime(1970, 1, 1) + timedelta(seconds=seconds)


def from_stamps(cells: pl.Series) -> Ticks:
    """Seconds from times of day, dates with times, or elapsed times as text."""
    parts = _in_order(cells).str.extract_groups(_STAMP).struct.unnest()
    date = [parts[name] for name in parts.columns[:3]]
    hour, minute, second, fraction, half = (parts[name] for name in parts.columns[3:])
    clock = _clock_seconds(hour, minute, second, fraction, half)
    said = ""
    if _minutes_first(hour, minute, second, fraction):
        clock = (
            clock / 60.0 if not fraction.is_not_null().any() else _minutes(hour, minute, fraction)
        )
        said = "time read as minutes and seconds"
    if not date[0].is_not_null().any():
        return Ticks(clock, True, said=said)
    days, sure = _days(date)
    both = days * DAY + np.nan_to_num(clock)
    both[~np.isfinite(days)] = np.nan
    found = np.flatnonzero(np.isfinite(both))
    started = _since_1970(float(both[found[0]])) if found.size and sure else None
    first = float(both[found[0]]) if found.size else 0.0
    return Ticks(
        both - first, False, started, said or ("" if sure else "day and month may be swapped")
    )


def _whole(part: pl.Series) -> Floats:
    return part.cast(pl.Float64, strict=False).fill_null(float("nan")).to_numpy()


def _clock_seconds(
    hour: pl.Series, minute: pl.Series, second: pl.Series, fraction: pl.Series, half: pl.Series
) -> Floats:
    hours = _whole(hour)
    if half.is_not_null().any():
        afternoon = half.str.to_lowercase().eq("p").fill_null(False).to_numpy()
        hours = np.where(half.is_not_null().to_numpy(), hours % 12 + 12 * afternoon, hours)
    total = hours * 3600 + _whole(minute) * 60 + np.nan_to_num(_whole(second))
    result: Floats = total + _part_of_second(fraction)
    return result


def _part_of_second(fraction: pl.Series) -> Floats:
    return np.nan_to_num(_whole("0." + fraction))


def _minutes_first(
    hour: pl.Series, minute: pl.Series, second: pl.Series, fraction: pl.Series
) -> bool:
    """Two parts only: "12:34.5" is always minutes and seconds.

    "12:34" is if it starts at 0, passes 24:00, or moves on by one in nearly every row: a clock
    of hours and minutes would stand still for many rows, or show nothing of a drive.
    """
    if second.is_not_null().any():
        return False
    hours, minutes = _whole(hour), _whole(minute)
    first = hours[np.isfinite(hours)][:1]
    if fraction.is_not_null().any() or (first == 0).any() or (60 * hours + minutes > 1440).any():
        return True
    steps = np.diff(60 * hours + minutes)
    return steps.size >= _FEW_ROWS and float(np.mean(steps == 1)) > _NEARLY_ALL


def _minutes(minute: pl.Series, second: pl.Series, fraction: pl.Series) -> Floats:
    result: Floats = _whole(minute) * 60 + _whole(second) + _part_of_second(fraction)
    return result


def _days(date: Sequence[pl.Series]) -> tuple[Floats, bool]:
    """Days since 1970 and whether day and month are certain."""
    first, middle, last = date
    month_name = middle.str.to_lowercase().str.slice(0, 3)
    named = pl.Series(
        month_name.replace_strict(dict(_MONTHS), default=None, return_dtype=pl.Float64)
    )
    middle_n = _whole(named) if named.is_not_null().any() else _whole(middle)
    a, c = _whole(first), _whole(last)
    sure = True
    if np.nanmax(a, initial=0) > 31:
        year, month, day = a, middle_n, c
    elif named.is_not_null().any() or np.nanmax(a, initial=0) > 12:
        day, month, year = a, middle_n, c
    elif np.nanmax(middle_n, initial=0) > 12:
        month, day, year = a, middle_n, c
    else:
        day, month, year, sure = (
            a,
            middle_n,
            c,
            bool(np.nanmin(a, initial=1) == np.nanmax(middle_n)),
        )
    year = np.where(year < 100, year + 2000, year)
    return _day_number(year, month, day), sure


def _day_number(year: Floats, month: Floats, day: Floats) -> Floats:
    good = np.isfinite(year) & (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31)
    months = np.where(good, (year - 1970) * 12 + month - 1, 0).astype("int64")
    start = months.astype("datetime64[M]").astype("datetime64[D]").astype("int64")
    return np.where(good, start + day - 1, np.nan)


def from_cells(cells: pl.Series, unit: str, decimal: str, delimiter: str) -> Ticks:
    """Seconds from a time column of text, whichever way it is written."""
    sample = cells.head(200).drop_nulls().to_list()
    if looks_like_stamp(sample):
        return from_stamps(cells)
    found = numbers(cells, decimal, delimiter)
    whole = bool(np.all(np.mod(found.values[np.isfinite(found.values)], 1) == 0))
    return from_numbers(found.values, unit or found.unit, whole)


def join_date(date: pl.Series, clock: pl.Series) -> pl.Series:
    """A date column and a time column as one."""
    return date.str.strip_chars() + " " + clock.str.strip_chars()
