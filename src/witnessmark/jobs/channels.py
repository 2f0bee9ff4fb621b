"""What each column of a log was taken for, how sure that is, and what it shows."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from witnessmark.errors import UserError
from witnessmark.logs.channels.mixture import fuel_named
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.logs.read import Recall
from witnessmark.model.channel import Channel, Column, Sure
from witnessmark.model.log import Floats, Log
from witnessmark.records.shop import Shop
from witnessmark.records.told import forget, remember, remembered

_OPTION = re.compile(r"--channel '(.*?)'(?=$|[\s,.;:])")
_AT_LEAST = 0.25  # s a change is counted over: a reading may have stood since an earlier poll


@dataclass(frozen=True)
class Shown:
    """What a column shows, in SI: range, fastest change in a second, readings a second."""

    low: float
    high: float
    fastest: float | None
    a_second: float


@dataclass(frozen=True)
class Explained:
    """One column. `channel` and `shown` are None if it is not used; `options`: what to type."""

    column: Column
    channel: Channel | None
    shown: Shown | None
    options: tuple[str, ...]


@dataclass(frozen=True)
class LogExplained:
    """All columns of a log, those that wait for an answer apart."""

    log: Log
    columns: tuple[Explained, ...]

    @property
    def asked(self) -> tuple[Explained, ...]:
        """Columns that are not used until somebody says what they are."""
        return tuple(c for c in self.columns if c.column.sure is Sure.ASKED)

    @property
    def used(self) -> tuple[Explained, ...]:
        """Columns in use, the time among them."""
        return tuple(c for c in self.columns if c.column.channel is not None)

    @property
    def others(self) -> tuple[Explained, ...]:
        """Columns that are not ours, or left out."""
        return tuple(
            c for c in self.columns if c.column.channel is None and c.column.sure is not Sure.ASKED
        )


def explain(log: Log) -> LogExplained:
    """Every column of a log with what it shows."""
    return LogExplained(log, tuple(_explained(log, column) for column in log.columns))


def read_fuel(text: str | None, where: str = "--fuel") -> str:
    """A fuel as typed, as the reader of logs takes it; "" for none. Raises UserError."""
    wanted = (text or "").strip()
    known = vocabulary().fuels
    for name in (wanted, wanted.lower(), wanted.upper()):
        if not name or fuel_named(name) is not None:
            return name
    raise UserError(
        where, f"'{wanted}' is no fuel we know", f"one of {', '.join(known)}, or E with its share",
        "Write it as E85, E30 or petrol",
    )  # fmt: skip


def recall_of(shop: Shop | None) -> Recall | None:
    """What the reader asks for what was said of such a log before; None without a folder."""
    return None if shop is None else lambda layout: remembered(shop, layout)


def remember_told(shop: Shop, log: Log, told: Sequence[str]) -> None:
    """Remember what was just said of a log's columns. UserError if the folder is damaged."""
    if told:
        remember(shop, log.source.layout, told, date.today().isoformat())


def forget_told(shop: Shop, log: Log) -> int:
    """Forget what was said of logs laid out like this one; how many corrections that were."""
    return forget(shop, log.source.layout, date.today().isoformat())


def _explained(log: Log, column: Column) -> Explained:
    entry = vocabulary().entries.get(column.channel or "")
    options = tuple(dict.fromkeys(_OPTION.findall(column.why)))
    if entry is None:
        return Explained(column, None, None, options)
    return Explained(column, entry.channel, _shown(log, column), options)


def _shown(log: Log, column: Column) -> Shown | None:
    assert column.channel is not None
    values = log[column.channel]
    fresh = log.fresh.get(column.channel)
    known = np.isfinite(values) if fresh is None else fresh & np.isfinite(values)
    read, when = values[known], log.time[known]
    whole = float(log.held.sum())
    if not read.size or whole <= 0:
        return None
    alone = sum(c.channel == column.channel for c in log.columns) == 1
    low, high, count = float(read.min()), float(read.max()), read.size
    if not alone and column.seen is not None:  # one of several: its own range, not the channel's
        low, high, count = column.seen.low, column.seen.high, column.seen.count
    return Shown(low, high, _fastest(when, read), count / whole)


def _fastest(when: Floats, read: Floats) -> float | None:
    if read.size < 2:
        return None
    return float((np.abs(np.diff(read)) / np.maximum(np.diff(when), _AT_LEAST)).max())
