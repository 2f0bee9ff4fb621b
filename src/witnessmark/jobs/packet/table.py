"""A log as plain tables: one row a sample, blanks where nothing is shown, nothing made up."""

from collections.abc import Sequence
from datetime import timedelta
from typing import IO

import numpy as np
import polars as pl

from witnessmark.jobs.packet.units import Shown
from witnessmark.model.log import Floats, Log, Mask

TIME, CLOCK, INSIDE = "time [s]", "wall_clock", "in the moment"
_CLOCK_FORM = "%Y-%m-%dT%H:%M:%S%.3f"
_DECIMALS = 9  # of a number in the tuner's unit: takes the crumbs of the conversion off
_ROWS_AT_ONCE = 200_000


def frame(
    log: Log, columns: Sequence[Shown], part: slice | None = None, inside: Mask | None = None
) -> pl.DataFrame:
    """Samples of a log as a table.

    Parameters
    ----------
    log : SI on one time base.
    columns : The channels to show and their units.
    part : The samples wanted; all if None.
    inside : Samples to mark with 1 in a column "in the moment". No such column if None.

    Returns
    -------
    "time [s]", "wall_clock" where the file tells it, one column a channel, and after a channel
    that was not read at every sample its "... fresh" column: 1 where it was read, 0 where its last
    reading stands. Null where the log shows nothing.
    """
    part = part or slice(None)
    made = [pl.Series(TIME, log.time[part])]
    if log.started is not None:
        made.append(_clock(log, part))
    if inside is not None:
        made.append(pl.Series(INSIDE, inside[part].astype(np.int8)))
    for shown in columns:
        made.append(pl.Series(shown.head, _values(log, shown, part)).fill_nan(None))
        if shown.channel in log.fresh:
            fresh = log.fresh[shown.channel][part]
            made.append(pl.Series(shown.mark, fresh.astype(np.int8)))
    return pl.DataFrame(made)


def write_csv(
    out: IO[bytes], log: Log, columns: Sequence[Shown], part: slice | None = None,
    inside: Mask | None = None,
) -> None:  # fmt: skip
    """The table as CSV: commas, dots, UTF-8, numbers as exact as they are."""
    start, stop, _ = (part or slice(None)).indices(len(log.time))
    for at in range(start, stop, _ROWS_AT_ONCE):
        rows = frame(log, columns, slice(at, min(at + _ROWS_AT_ONCE, stop)), inside)
        text = rows.write_csv(include_header=at == start, datetime_format=_CLOCK_FORM)
        out.write(text.encode())


def _clock(log: Log, part: slice) -> pl.Series:
    assert log.started is not None
    start = log.started.replace(tzinfo=None)
    micro = np.round(log.time[part] * 1e3).astype(np.int64) * 1000
    first = pl.Series([start], dtype=pl.Datetime("us"))[0]
    since = pl.Series(CLOCK, micro).cast(pl.Duration("us"))
    rounded = first - timedelta(microseconds=first.microsecond % 1000)
    return (pl.repeat(rounded, len(micro), dtype=pl.Datetime("us"), eager=True) + since).alias(
        CLOCK
    )


def _values(log: Log, shown: Shown, part: slice) -> Floats:
    values = log[shown.channel][part]
    if shown.factor == 1.0 and shown.offset == 0.0:
        return values
    return np.asarray(np.round(values * shown.factor + shown.offset, _DECIMALS))
