"""Series of readings, each with times of its own, laid out as one table."""

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
import polars as pl
from numpy.typing import NDArray

from witnessmark.logs.channels.correct import Told
from witnessmark.logs.needed import needed
from witnessmark.logs.table import RawColumn, Table
from witnessmark.model.log import Floats, Note

Read = Callable[[], pl.Series]
# What is said of columns, by their names.
TellOf = Callable[[Sequence[RawColumn]], Mapping[str, Told]]


def given(cells: pl.Series) -> Read:
    """Readings that are at hand already."""
    return lambda: cells


@dataclass(frozen=True)
class Series:
    """One thing that was recorded, its readings fetched only when they are wanted.

    `time`: of each reading. [s] `read`: gives as many cells, numbers (NaN for none) or text.
    `group`: the message or group it came in, to tell it from others of its name.
    """

    name: str
    unit: str
    time: Floats
    read: Read
    group: str = ""


@dataclass(frozen=True)
class Recording:
    """What a measurement file or a bus log holds. `started`: wall clock at zero of its time."""

    series: Sequence[Series]
    notes: Sequence[Note] = ()
    started: datetime | None = None


def distinct(series: Sequence[Series]) -> list[Series]:
    """The same, each under a name no other has: its group behind it, or else a number."""
    often = Counter(one.name for one in series)
    taken: set[str] = set()
    found = []
    for one in series:
        name = f"{one.name} ({one.group})" if often[one.name] > 1 and one.group else one.name
        free = (name, *(f"{name} no. {n}" for n in range(2, len(series) + 2)))
        name = next(n for n in free if n not in taken)
        taken.add(name)
        found.append(replace(one, name=name))
    return found


def laid_out(name: str, found: Recording, told: TellOf, only: Collection[str]) -> Table:
    """A table on the moments at which any series that may be a channel was read.

    `told`: what is said of columns. `only`: channels needed, all if empty. Readings of series
    that are no channel of ours are never fetched.
    """
    series = distinct(found.series)
    heads = [_time_head({s.name for s in series}), *(RawColumn(s.name, s.unit) for s in series)]
    wanted = needed(heads[1:], told(heads), only)
    used = [s for s in series if s.name in wanted] or series[:1]
    stamps = {id(s.time): s.time for s in used}
    time, places = _united(list(stamps.values()))
    rows = dict(zip(stamps, places, strict=True))
    columns = [replace(heads[0], cells=pl.Series(time))]
    for one in series:
        if one in used:
            columns.append(RawColumn(one.name, one.unit, cells=one.read(), rows=rows[id(one.time)]))
        else:
            share = min(len(one.time) / max(len(time), 1), 1.0)
            columns.append(RawColumn(one.name, one.unit, share=share))
    return Table(name, len(time), columns, "", True, tuple(found.notes), found.started)


def _time_head(taken: Collection[str]) -> RawColumn:
    """The time of the table, under a name no series has."""
    free = ("time", "time of the recording", "time (s)")
    return RawColumn(next(n for n in free if n not in taken), "s")


def _united(stamps: Sequence[Floats]) -> tuple[Floats, list[NDArray[np.int64]]]:
    """All moments in order, each once, and where each of the series' own moments went."""
    if len(stamps) == 1 and bool((np.diff(stamps[0]) > 0).all()):
        return stamps[0], [np.arange(len(stamps[0]))]
    time = np.unique(np.concatenate(stamps)) if stamps else np.empty(0)
    return time, [np.searchsorted(time, one).astype(np.int64) for one in stamps]
