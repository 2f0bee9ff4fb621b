"""A log file as a Log: known channels, SI, one time base, and a word on every column."""

import hashlib
import json
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import polars as pl

from witnessmark.errors import UserError
from witnessmark.logs.assemble import assemble
from witnessmark.logs.channels.aligned import refuse_one_off
from witnessmark.logs.channels.correct import Told
from witnessmark.logs.channels.correct import corrections as parse_corrections
from witnessmark.logs.channels.naming import score
from witnessmark.logs.delimited.cells import decimal_sign
from witnessmark.logs.delimited.fast import WORTH, read_fast
from witnessmark.logs.delimited.layout import HEAD_LINES, Layout, sniff
from witnessmark.logs.delimited.long import unfold
from witnessmark.logs.delimited.mend import parted_by_tabs, with_whole_names, without_formulas
from witnessmark.logs.delimited.plain import Wanted
from witnessmark.logs.delimited.rows import read_rows
from witnessmark.logs.delimited.text import (
    Raw,
    decode,
    encoding,
    lines,
    load,
    refuse_no_text,
    wrap,
)
from witnessmark.logs.needed import needed
from witnessmark.logs.recordings.archive import unpacked
from witnessmark.logs.recordings.bus_log import bus_frames
from witnessmark.logs.recordings.dbc import Dbc
from witnessmark.logs.recordings.decode import decoded
from witnessmark.logs.recordings.kinds import FileKind, kind_of
from witnessmark.logs.recordings.mdf import measured
from witnessmark.logs.recordings.parquet import read_parquet
from witnessmark.logs.recordings.series import laid_out
from witnessmark.logs.table import RawColumn, Table
from witnessmark.logs.timing.parted import joined, parted
from witnessmark.logs.timing.times import pick
from witnessmark.model.log import Log, Note

Progress = Callable[[float], None]
# Given the layout of a log, what was said of its columns before, each with the day it was said.
Recall = Callable[[str], Sequence[tuple[str, str]]]
_TEXT, _PARQUET, _MEASURED, _BUS = "text", "parquet", "measurement", "bus"  # kinds of reader
_HEAD_BYTES = 1 << 20  # enough for the first lines of any log


@dataclass(frozen=True)
class _Asked:
    """What was asked of one file."""

    texts: Sequence[str]
    progress: Progress
    only: Collection[str]
    buses: Sequence[Dbc]
    fuel: str = ""
    recall: Recall | None = None

    @property
    def wanted(self) -> Collection[str]:
        """Channels to read where columns are not known beforehand; all if one may be recalled."""
        return self.only if self.recall is None else ()

    def told(self, how: str, columns: Sequence[RawColumn]) -> dict[str, Told]:
        """What is said of columns: what was said of such a log before, and over it what is now."""
        said: dict[str, Told] = {}
        for text, on in self.recall(_layout(how, columns)) if self.recall is not None else ():
            said |= parse_corrections((text,), columns, on)
        return said | parse_corrections(self.texts, columns)


@dataclass(frozen=True)
class _Found:
    """What came out of it. `how`: the kind of reader; logs read alike share it."""

    table: Table
    decimal: str
    notes: Sequence[Note]
    how: str


def read_log(
    path: Path,
    corrections: Sequence[str] = (),
    progress: Progress | None = None,
    only: Collection[str] = (),
    buses: Sequence[Dbc] = (),
    fuel: str = "",
    recall: Recall | None = None,
) -> Log:
    """Read a drive log from a file of any kind; its first bytes tell which.

    Parameters
    ----------
    path : Delimited text, wide or one reading a row; Parquet; a measurement file (MDF 3, 4);
        a bus log (BLF, ASC, candump, TRC); or a zip or gzip archive with one of them in it.
    corrections : What the user says of columns, each 'COLUMN=channel:unit' or 'COLUMN=ignore'.
    progress : Told the share read so far, 0 to 1, while a slow file is read.
    only : Channels that are needed; in a large file the others are left unread. All if empty.
    buses : What the frames of a bus mean; of two that define a frame the first counts.
    fuel : What is in the tank, as `fuel_in_tank` names it, "" if not known: it tells what an
        air-fuel ratio counts by.
    recall : Gives what was said of the columns of such a log before.

    Returns
    -------
    The log in SI on one time base. What was repaired or assumed is in `notes` and `columns`.

    UserError when the file is no log, has no usable time, nothing we know, or cannot be true.
    """
    return _read(load(path), _Asked(corrections, progress or _silent, only, buses, fuel, recall))


def read_log_bytes(
    data: bytes,
    name: str,
    corrections: Sequence[str] = (),
    progress: Progress | None = None,
    only: Collection[str] = (),
    buses: Sequence[Dbc] = (),
    fuel: str = "",
    recall: Recall | None = None,
) -> Log:
    """The same for a file that came as bytes; `name` is what messages call it."""
    asked = _Asked(corrections, progress or _silent, only, buses, fuel, recall)
    return _read(wrap(data, name), asked)


def _silent(_: float) -> None:
    pass


def _read(received: Raw, asked: _Asked) -> Log:
    raw, opened = unpacked(received)
    kind = kind_of(raw)
    if kind is FileKind.TEXT:
        found = _text(raw, asked)
    elif kind is FileKind.PARQUET:
        found = _parquet(raw, asked)
    else:
        found = _recording(raw, kind, asked)
    told = asked.told(found.how, found.table.columns)
    notes = [Note("file", opened), *found.notes] if opened else found.notes
    log = assemble(received, found.table, told, found.decimal, notes, asked.fuel)
    asked.progress(1.0)
    source = replace(log.source, layout=_layout(found.how, found.table.columns))
    return replace(log, source=source, started=found.table.started or log.started)


def _layout(how: str, columns: Sequence[RawColumn]) -> str:
    """SHA-256 of the columns in their order, their units and the kind of reader."""
    named = [[c.name, c.unit] for c in columns]
    return hashlib.sha256(json.dumps([how, named]).encode()).hexdigest()


def _text(raw: Raw, asked: _Asked) -> _Found:
    refuse_no_text(raw)
    codec = encoding(raw)
    fast = _fast(raw, codec, asked) if codec in ("utf-8", "utf-8-sig") else None
    if fast is not None:
        table, layout, decimal = fast
    else:
        table, layout, decimal, codec = _careful(raw, asked.progress)
        said = refuse_one_off(table, asked.told(_TEXT, table.columns), decimal)
        table = replace(table, notes=(*table.notes, *said))
    return _Found(table, decimal, _layout_notes(layout, codec), _TEXT)


def _parquet(raw: Raw, asked: _Asked) -> _Found:
    told = partial(asked.told, _PARQUET)
    table, decimal = read_parquet(raw, told, asked.wanted, raw.size >= WORTH)
    return _Found(table, decimal, (), _PARQUET)


def _recording(raw: Raw, kind: FileKind, asked: _Asked) -> _Found:
    how = _MEASURED if kind is FileKind.MDF else _BUS
    told = partial(asked.told, how)
    if kind is FileKind.MDF:
        with measured(raw, asked.buses) as recording:
            table = laid_out(raw.name, recording, told, asked.wanted)
    else:
        frames = bus_frames(raw, kind, asked.progress)
        recording = decoded(raw.name, frames, asked.buses)
        table = laid_out(raw.name, recording, told, asked.wanted)
    return _Found(table, ".", (), how)


def _layout_notes(layout: Layout, codec: str) -> list[Note]:
    notes = [Note("layout", text) for text in layout.notes]
    if codec not in ("utf-8", "utf-8-sig"):
        notes.append(Note("text", f"written in {codec}"))
    return notes


def _careful(raw: Raw, progress: Progress) -> tuple[Table, Layout, str, str]:
    """Line by line: takes anything that can be taken."""
    text, codec = decode(raw)
    text = without_formulas(with_whole_names(text.lstrip("\ufeff").rstrip("\0")))
    text, layout = _sniff(raw.name, text)
    done, size = 0, max(len(text), 1)

    def told(read: int) -> None:
        nonlocal done
        done += read
        progress(0.9 * done / size)

    table = joined(unfold(read_rows(raw.name, lines(text), layout, told)))
    return table, layout, _decimal(table), codec


def _sniff(name: str, text: str) -> tuple[str, Layout]:
    """The layout, and the text with tabs where its columns are parted by spaces."""
    head = _head(text)
    layout, fault = _tried(name, head)
    if layout is None or not layout.header:
        tabbed = parted_by_tabs(text, head)
        other, _ = _tried(name, _head(tabbed)) if tabbed else (None, None)
        if tabbed and other and other.header:
            return tabbed, replace(other, notes=("columns parted by spaces", *other.notes))
    if layout is None:
        assert fault is not None
        raise fault
    return text, layout


def _tried(name: str, head: Sequence[str]) -> tuple[Layout | None, UserError | None]:
    try:
        return sniff(name, head, score), None
    except UserError as fault:
        return None, fault


def _head(text: str) -> list[str]:
    found = []
    for line in lines(text):
        found.append(line)
        if len(found) == HEAD_LINES:
            break
    return found


def _decimal(table: Table) -> str:
    """The decimal sign of the file, if its columns agree on one."""
    signs = {decimal_sign(c.cells) for c in table.columns if c.cells is not None} - {""}
    return signs.pop() if len(signs) == 1 else ""


def _tidy_head(raw: Raw, codec: str) -> list[str]:
    """The first lines of a file in which nothing is quoted or strangely ended; else none."""
    start = raw.data[:_HEAD_BYTES]
    start = start[: start.rfind(b"\n") + 1]
    try:
        head = start.decode(codec)
    except UnicodeDecodeError:
        return []
    return [] if "\r" in head.replace("\r\n", "") or '"' in head else _head(head)


def _fast(raw: Raw, codec: str, asked: _Asked) -> tuple[Table, Layout, str] | None:
    """By polars, if the file is large and its first rows are tidy."""
    first = _tidy_head(raw, codec) if raw.size >= WORTH else []
    layout = _tried(raw.name, first)[0] if len(first) > 1 else None
    if layout is None:
        return None
    sample = read_rows(raw.name, iter(first), layout)
    if unfold(sample).long or parted(sample.columns) is not None:
        return None
    decimal = _decimal(sample)
    told = asked.told(_TEXT, sample.columns)
    try:
        said = refuse_one_off(sample, told, decimal)
    except UserError:  # the last column may be filled further down: the whole file tells
        return None
    time, date = pick(sample, told, decimal)
    used = needed(sample.columns, told, asked.only)
    stamps = {c.name for c in (time, date) if c is not None and not _numeric(sample, c.name)}
    want = Wanted(layout, sample, decimal, stamps, {time.name} - stamps, used)
    table = read_fast(raw, want)
    if table is None:
        return None
    return replace(table, notes=(*table.notes, *said)), layout, decimal


def _numeric(table: Table, name: str) -> bool:
    column = next(c for c in table.columns if c.name == name)
    assert column.cells is not None
    signs = column.cells.str.replace(",", ".", literal=True).str.strip_chars()
    plain = signs.cast(pl.Float64, strict=False)
    return bool(plain.is_not_null().any()) and not bool(
        (plain.is_null() & (signs.str.len_bytes() > 0)).any()
    )
