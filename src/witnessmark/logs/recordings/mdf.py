"""Measurement files (MDF 3 and 4): measured channels, and the frames of a recorded bus."""

import json
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Timer
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from witnessmark.errors import UserError
from witnessmark.logs.delimited.text import Raw
from witnessmark.logs.recordings.dbc import Dbc
from witnessmark.logs.recordings.decode import decoded
from witnessmark.logs.recordings.extras import missing, missing_extra
from witnessmark.logs.recordings.frames import Bytes, Frames, Whole
from witnessmark.logs.recordings.series import Recording, Series
from witnessmark.logs.timing.order import one_way
from witnessmark.model.log import Floats, Note

_FRAME = "CAN_DataFrame"
_BUS_PARTS = ("CAN_", "LIN_", "FLX_", "ETH_", "MOST_")  # names ASAM gives the parts of frames
_BUS_EVENT = 2  # flag of a group of such
_IDENT_BITS, _EXTENDED, _STANDARD = 0x1FFFFFFF, 1 << 31, 0x7FF
_SIZES = np.array([0, 1, 2, 3, 4, 5, 6, 7, 8, 12, 16, 20, 24, 32, 48, 64])  # of a DLC, ISO 11898-1
_OPEN = b"UnFinMF"  # first bytes of a file that was not closed
_NOT_CLOSED = Note("file", "the logger never closed the file: read as far as it goes")
_NO_CLOCK = 1990  # a logger that dates its file before has none
_PATIENCE, _EACH_MB = 120.0, 2.0  # s a reader may take; a damaged file can send it round for ever


class _BrokenError(Exception):
    """The reader died or was at its wits' end."""


class _Reader:
    """Speaks to the process that reads the file."""

    def __init__(self, process: "subprocess.Popen[bytes]") -> None:
        assert process.stdin is not None and process.stdout is not None
        self._asked, self._answers = process.stdin, process.stdout
        self.holds = self._head()

    def _head(self) -> dict[str, Any]:
        line = self._answers.readline()
        if not line:
            raise _BrokenError
        head: dict[str, Any] = json.loads(line)
        return head

    def ask(self, what: str, group: int, index: int = 0) -> NDArray[Any] | list[str] | None:
        """Readings as an array or texts; None where a reading is several numbers."""
        line = json.dumps({"what": what, "group": group, "index": index})
        try:
            self._asked.write(line.encode() + b"\n")
            self._asked.flush()
        except OSError:
            raise _BrokenError from None
        head = self._head()
        body = self._answers.read(head["bytes"])
        if len(body) < head["bytes"]:
            raise _BrokenError
        if head["kind"] == "text":
            texts: list[str] = json.loads(body)
            return texts
        if head["kind"] == "nested":
            return None
        return np.frombuffer(body, dtype=np.dtype(head["type"])).reshape(head["shape"])

    def array(self, what: str, group: int, index: int = 0) -> NDArray[Any]:
        """The same where only numbers make sense."""
        found = self.ask(what, group, index)
        if not isinstance(found, np.ndarray):
            raise _BrokenError
        return found


@contextmanager
def measured(raw: Raw, buses: Sequence[Dbc]) -> Iterator[Recording]:
    """What a measurement file holds, to be read inside the block.

    UserError if it is cut off, damaged or empty, also when that shows only inside.
    """
    if missing("asammdf"):
        raise missing_extra("mdf", "a measurement file (MDF)")
    try:
        with _opened(raw) as reader:
            yield _recording(raw, reader, buses)
    except _BrokenError:
        raise _damaged(raw.name, "the measurement file (MDF) is cut off or damaged") from None


@contextmanager
def _opened(raw: Raw) -> Iterator[_Reader]:
    with TemporaryDirectory(prefix="witnessmark-") as folder:
        path = raw.path
        if path is None or path.suffix.lower() in (".mf4z", ".zip"):
            path = Path(folder) / "log.mf4"
            path.write_bytes(raw.data)
        process = subprocess.Popen(
            [sys.executable, "-m", f"{__package__}.mdf_child", str(path.absolute())],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        watch = Timer(_PATIENCE + _EACH_MB * raw.size / 1e6, process.kill)
        watch.start()
        try:
            yield _Reader(process)
        finally:
            watch.cancel()
            process.kill()
            process.communicate()


def _damaged(name: str, found: str) -> UserError:
    return UserError(
        name, found, "a whole measurement file (MDF) is wanted",
        "Copy it again from the logger, or let the tool that wrote it repair it",
    )  # fmt: skip


def _recording(raw: Raw, reader: _Reader, buses: Sequence[Dbc]) -> Recording:
    name = raw.name
    series: list[Series] = []
    notes = [_NOT_CLOSED] if raw.data[: len(_OPEN)] == _OPEN else []
    parts: list[Frames] = []
    for group in reader.holds["groups"]:
        time = reader.array("master", group["at"]).astype(np.float64)
        _refuse_short(name, len(time), group["cycles"])
        if any(channel["name"] == _FRAME for channel in group["channels"]):
            parts.append(_frames(reader, group, time))
        else:
            series += _channels(reader, group, time, notes)
    if parts:
        bus = decoded(name, _together(name, parts), buses, needed=not series)
        series += bus.series
        notes += bus.notes
    if not series:
        raise UserError(
            name, "there is not one reading in it", "a measurement with readings is wanted",
            "Record it again",
        )  # fmt: skip
    return Recording(series, notes, _started(reader.holds["started"]))


def _started(text: str) -> datetime | None:
    """The wall clock where the logger stood, if it has one."""
    found = datetime.fromisoformat(text).replace(tzinfo=None) if text else None
    return found if found and found.year >= _NO_CLOCK else None


def _refuse_short(name: str, there: int, told: int) -> None:
    if there < told:
        raise _damaged(name, f"it is cut off: {there:,} of {told:,} readings are there")


def _channels(
    reader: _Reader, group: dict[str, Any], time: Floats, notes: list[Note]
) -> list[Series]:
    """The measured channels of one group."""
    at, called = group["at"], group["name"] or f"group {group['at'] + 1}"
    found = []
    for channel in group["channels"]:
        name = channel["name"]
        if group["flags"] & _BUS_EVENT and name.startswith(_BUS_PARTS):
            continue
        times = time
        if channel["invalid"]:
            # Readings marked as invalid are not among them: times of its own.
            times = reader.array("time", at, channel["index"]).astype(np.float64)
        one = _Channel(reader, at, channel["index"], name, len(times), notes)
        found.append(Series(name, channel["unit"], times, one.cells, called))
    return found


class _Channel:
    """Reads one channel when asked."""

    def __init__(
        self, reader: _Reader, group: int, index: int, name: str, count: int, notes: list[Note]
    ) -> None:
        self._reader, self._place, self._count = reader, (group, index), count
        self._name, self._notes = name, notes

    def cells(self) -> pl.Series:
        """Its readings as numbers or text."""
        samples = self._reader.ask("cells", *self._place)
        if samples is None:
            said = "holds several numbers a reading: left out"
            self._notes.append(Note(f"column '{self._name}'", said))
            return pl.Series(np.full(self._count, np.nan))
        if len(samples) != self._count:
            raise _BrokenError
        if isinstance(samples, list):
            return pl.Series(samples, dtype=pl.String)
        return pl.Series(samples.astype(np.float64))


def _frames(reader: _Reader, group: dict[str, Any], time: Floats) -> Frames:
    """The bus frames of one group."""
    places = {channel["name"]: channel["index"] for channel in group["channels"]}

    def part(name: str) -> NDArray[Any] | None:
        place = places.get(f"{_FRAME}.{name}")
        if place is None:
            return None
        found = reader.array("table", group["at"], place)
        if len(found) != len(time):
            raise _BrokenError
        return found

    whole, data = part("ID"), part("DataBytes")
    if whole is None or data is None:
        raise _BrokenError
    ident = whole.astype(np.int64)
    ide, bus, length = part("IDE"), part("BusChannel"), part("DataLength")
    extended = (ident & _EXTENDED != 0) | (ident & _IDENT_BITS > _STANDARD)
    if ide is not None:
        extended |= ide.astype(bool)
    table: Bytes = data.reshape(len(ident), -1).astype(np.uint8)
    if length is None:
        dlc = part("DLC")
        length = _SIZES[dlc & 15] if dlc is not None else np.full(len(ident), table.shape[1])
    size: Whole = np.minimum(length.astype(np.int64), table.shape[1])
    # What stands behind the length is left over from other frames.
    table = np.where(np.arange(table.shape[1]) < size[:, None], table, 0).astype(np.uint8)
    number = np.zeros(len(ident)) if bus is None else bus
    return Frames(time, ident & _IDENT_BITS, extended, number.astype(np.int64), table, size)


def _together(name: str, parts: Sequence[Frames]) -> Frames:
    """The frames of all groups in the order of time."""
    width = max(p.data.shape[1] for p in parts)
    data = np.concatenate([np.pad(p.data, ((0, 0), (0, width - p.data.shape[1]))) for p in parts])
    time = np.concatenate([p.time for p in parts])
    rows = np.argsort(time, kind="stable") if len(parts) > 1 else np.arange(len(time))
    kept, ordered, said = one_way(name, "time", time[rows])
    rows = rows[kept]
    notes = [Note("time", said)] if said else []
    notes.append(Note("file", f"a measurement file with {len(time):,} frames of a bus"))
    return Frames(
        ordered, np.concatenate([p.ident for p in parts])[rows],
        np.concatenate([p.extended for p in parts])[rows],
        np.concatenate([p.bus for p in parts])[rows], data[rows],
        np.concatenate([p.length for p in parts])[rows], notes,
    )  # fmt: skip
