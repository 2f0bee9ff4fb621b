"""A log file as a Log: known channels, SI, one time base, and a word on every column."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from pathlib import Path

import polars as pl

from witnessmark.errors import UserError
from witnessmark.logs.assemble import assemble
from witnessmark.logs.channels.correct import corrections as parse_corrections
from witnessmark.logs.channels.measure import known_scale
from witnessmark.logs.channels.naming import score
from witnessmark.logs.channels.recognise import Claim, claims
from witnessmark.logs.delimited.cells import decimal_sign
from witnessmark.logs.delimited.fast import WORTH, Wanted, read_fast
from witnessmark.logs.delimited.layout import HEAD_LINES, Layout, sniff
from witnessmark.logs.delimited.long import unfold
from witnessmark.logs.delimited.mend import parted_by_tabs, with_whole_names, without_formulas
from witnessmark.logs.delimited.rows import read_rows
from witnessmark.logs.delimited.text import Raw, decode, encoding, lines, load, wrap
from witnessmark.logs.table import Table
from witnessmark.logs.timing.times import pick
from witnessmark.model.channel import How
from witnessmark.model.log import Log, Note
from witnessmark.units import Kind, Scale

Progress = Callable[[float], None]
_HEAD_BYTES = 1 << 20  # enough for the first lines of any log


def read_log(
    path: Path,
    corrections: Sequence[str] = (),
    progress: Progress | None = None,
    only: Collection[str] = (),
) -> Log:
    """Read a drive log from a file.

    Parameters
    ----------
    path : Delimited text: comma, semicolon, tab or bar; wide, or one reading a row.
    corrections : What the user says of columns, each 'COLUMN=channel:unit' or 'COLUMN=ignore'.
    progress : Told the share read so far, 0 to 1, while a slow file is read.
    only : Channels that are needed; in a large file the others are left unread. All if empty.

    Returns
    -------
    The log in SI on one time base. What was repaired or assumed is in `notes` and `columns`.

    UserError when the file is no log, has no usable time, nothing we know, or cannot be true.
    """
    return _read(load(path), corrections, progress or _silent, only)


def read_log_bytes(
    data: bytes, name: str, corrections: Sequence[str] = (), progress: Progress | None = None
) -> Log:
    """The same for a file that came as bytes; `name` is what messages call it."""
    return _read(wrap(data, name), corrections, progress or _silent, ())


def _silent(_: float) -> None:
    pass


def _read(raw: Raw, texts: Sequence[str], progress: Progress, only: Collection[str]) -> Log:
    codec = encoding(raw)
    fast = _fast(raw, codec, texts, only) if codec in ("utf-8", "utf-8-sig") else None
    if fast is not None:
        table, layout, decimal = fast
    else:
        table, layout, decimal, codec = _careful(raw, progress)
    told = parse_corrections(texts, table.columns)
    log = assemble(raw, table, told, decimal, _layout_notes(layout, codec))
    progress(1.0)
    return log


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

    table = unfold(read_rows(raw.name, lines(text), layout, told))
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


def _fast(
    raw: Raw, codec: str, texts: Sequence[str], only: Collection[str]
) -> tuple[Table, Layout, str] | None:
    """By polars, if the file is large and its first rows are tidy."""
    if raw.size < WORTH:
        return None
    start = raw.data[:_HEAD_BYTES]
    start = start[: start.rfind(b"\n") + 1]
    try:
        head = start.decode(codec)
    except UnicodeDecodeError:
        return None
    first = _head(head)
    if "\r" in head.replace("\r\n", "") or '"' in head or len(first) < 2:
        return None
    layout, _ = _tried(raw.name, first)
    if layout is None:
        return None
    sample = read_rows(raw.name, iter(first), layout)
    if unfold(sample).long:
        return None
    decimal = _decimal(sample)
    told = parse_corrections(texts, sample.columns)
    time, date = pick(sample, told, decimal)
    used = _needed([c for c in claims(sample.columns, told) if c.entry is not None], only)
    stamps = {c.name for c in (time, date) if c is not None and not _numeric(sample, c.name)}
    want = Wanted(layout, sample, decimal, stamps, {time.name} - stamps, used)
    table = read_fast(raw, want)
    return (table, layout, decimal) if table is not None else None


def _needed(claimed: Sequence[Claim], only: Collection[str]) -> dict[str, Scale | None]:
    """The columns to read, with the way to SI where the file names a unit that settles it."""
    scales = {c.column.name: known_scale(c) for c in claimed}
    kinds = {c.column.name: c.entry.channel for c in claimed if c.entry is not None}
    # A unit that is missing is told by the values of the other columns: then all are read.
    if not only or any(scales[n] is None and kinds[n].kind is not Kind.MIXTURE for n in scales):
        return scales
    told = {c.column.name for c in claimed if c.how is How.TOLD}
    return {n: by for n, by in scales.items() if kinds[n].name in only or n in told}


def _numeric(table: Table, name: str) -> bool:
    column = next(c for c in table.columns if c.name == name)
    assert column.cells is not None
    signs = column.cells.str.replace(",", ".", literal=True).str.strip_chars()
    plain = signs.cast(pl.Float64, strict=False)
    return bool(plain.is_not_null().any()) and not bool(
        (plain.is_null() & (signs.str.len_bytes() > 0)).any()
    )
