"""Bus logs as frames: BLF, ASC, candump and TRC, each by python-can's reader."""

import io
import re
import struct
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from witnessmark.errors import UserError
from witnessmark.logs.delimited.text import Raw
from witnessmark.logs.recordings.extras import quiet, wanted_for
from witnessmark.logs.recordings.frames import Frames, Whole
from witnessmark.logs.recordings.kinds import FileKind
from witnessmark.logs.timing.order import one_way
from witnessmark.model.log import Note

_WIDEST = 64  # bytes of a frame
_TOLD_EVERY = 20_000  # frames between two words on progress
_WALL_CLOCK = 1e8  # s since 1970: a stamp beyond is a date, below it counts from the start
# Lines that are frames must look like frames to the last sign: a damaged one is left out.
_FRAME_LINES = {
    FileKind.CANDUMP: re.compile(
        r"\(\d+\.\d+\) \S+ [0-9A-Fa-f]{3,8}#(?:R\d?|(?:#[0-9A-Fa-f])?(?:[0-9A-Fa-f]{2}){0,64})"
        r"(?: [RTrt])?$"
    ),
    FileKind.ASC: re.compile(
        r"\d+\.\d+\s+\d+\s+[0-9A-Fa-f]+x?\s+(?:Rx|Tx|TxRq)\s+d\s+[0-9A-Fa-f]{1,2}"
        r"(?P<data>(?:\s+[0-9A-Fa-f]{1,3})*)(?:\s+(?:Length|ID)\s*=.*)?$"
    ),
}  # fmt: skip
_BLOCK_HEAD = struct.Struct("<8xIIH")  # size, kind and packing of an object in a BLF
_BLOCK, _DEFLATED = 10, 2
_ASC_SKIPPED = re.compile(
    r"(?:\d+\.\d+\s+)?(?:date|base|//|(?:no )?internal|begin|end|start|\d+\s+statistic|can\s|"
    r"canfd\s|\d+\s+errorframe|j1939tp|statistic|log)", re.IGNORECASE,
)  # fmt: skip


@dataclass
class _Met:
    """What is gathered on the way through a file."""

    time: list[float] = field(default_factory=list)
    ident: list[int] = field(default_factory=list)
    extended: list[bool] = field(default_factory=list)
    bus: list[int] = field(default_factory=list)
    length: list[int] = field(default_factory=list)
    data: list[bytes] = field(default_factory=list)
    names: dict[Any, int] = field(default_factory=dict)  # buses as the file calls them
    others: int = 0  # error and remote frames
    damaged: int = 0  # lines left out
    broken: bool = False  # the file breaks off

    def take(self, message: Any) -> None:
        if message.is_error_frame or message.is_remote_frame:
            self.others += 1
            return
        self.time.append(message.timestamp)
        self.ident.append(message.arbitration_id)
        self.extended.append(message.is_extended_id)
        self.bus.append(self.names.setdefault(message.channel, len(self.names)))
        self.length.append(len(message.data))
        self.data.append(bytes(message.data))


def bus_frames(raw: Raw, kind: FileKind, progress: Callable[[float], None]) -> Frames:
    """The frames of a bus log in the order of time. UserError if there is not one in it."""
    with wanted_for("can", "a bus log"):
        import can  # noqa: PLC0415 - comes with the extra, and only bus logs need it

    met = _Met()
    readers = {
        FileKind.BLF: can.BLFReader, FileKind.ASC: can.ASCReader,
        FileKind.CANDUMP: can.CanutilsLogReader, FileKind.TRC: can.TRCReader,
    }  # fmt: skip
    with quiet("can"):
        try:
            source = _source(raw, kind, met)
            for count, message in enumerate(readers[kind](source), 1):
                met.take(message)
                if count % _TOLD_EVERY == 0:
                    progress(0.8 * (1 - 1 / (1 + count / 1e5)))
        except Exception:  # a damaged file makes these readers raise whatever they meet
            met.broken = True
    if not met.time:
        raise UserError(
            raw.name, "there is not one whole frame in it", f"{kind.value} is wanted",
            "Record it again, or export it as CSV",
        )  # fmt: skip
    return _frames(raw.name, met, kind)


def _source(raw: Raw, kind: FileKind, met: _Met) -> Any:
    data = bytes(raw.data)
    if kind is FileKind.BLF:
        return io.BytesIO(_whole_blocks(data, met))
    text = data.rstrip(b"\0").decode("utf-8-sig", errors="replace")
    return io.StringIO("\n".join(_sound(text.splitlines(), kind, met)) + "\n")


def _whole_blocks(data: bytes, met: _Met) -> bytes:
    """A BLF up to its first block whose checksum fails: its reader would not ask for that."""
    at = struct.unpack_from("<I", data, 4)[0]
    while data[at : at + 4] == b"LOBJ" and at + _BLOCK_HEAD.size <= len(data):
        size, kind, method = _BLOCK_HEAD.unpack_from(data, at)
        if size < _BLOCK_HEAD.size:
            break
        if kind == _BLOCK and method == _DEFLATED and not _checks(data[at + 32 : at + size]):
            met.broken = True
            return data[:at]
        at += size + size % 4
    return data


def _checks(block: bytes) -> bool:
    inflated = zlib.decompressobj()
    try:
        inflated.decompress(block)
    except zlib.error:
        return False
    return inflated.eof


def _sound(lines: list[str], kind: FileKind, met: _Met) -> Iterator[str]:
    """The lines without those that only look like frames."""
    pattern = _FRAME_LINES.get(kind)
    for line in lines:
        text = line.strip()
        passed = kind is FileKind.ASC and _ASC_SKIPPED.match(text)
        if pattern is None or not text or passed or pattern.match(text):
            yield line
        else:
            met.damaged += 1


def _frames(name: str, met: _Met, kind: FileKind) -> Frames:
    stamps = np.array(met.time, dtype=np.float64)
    first = float(stamps[0])
    rows, time, said = one_way(name, "time", stamps - first)
    notes = [Note("time", said)] if said else []
    width = min(max(met.length, default=0), _WIDEST)
    length: Whole = np.minimum(np.array(met.length, dtype=np.int64), width)
    joined = b"".join(d[:width].ljust(width, b"\0") for d in met.data)
    data = np.frombuffer(joined, dtype=np.uint8).reshape(len(stamps), width)
    notes += [Note("file", text) for text in _said(met, kind)]
    started = datetime(1970, 1, 1) + timedelta(seconds=first) if first > _WALL_CLOCK else None
    return Frames(
        time, np.array(met.ident, dtype=np.int64)[rows], np.array(met.extended, dtype=bool)[rows],
        np.array(met.bus, dtype=np.int64)[rows], data[rows], length[rows], notes, started,
    )  # fmt: skip


def _said(met: _Met, kind: FileKind) -> Iterator[str]:
    buses = f" of {len(met.names)} buses" if len(met.names) > 1 else ""
    yield f"{kind.value}: {len(met.time):,} frames{buses}"
    if met.others:
        yield f"{met.others:,} error and remote frames passed over"
    if met.damaged:
        yield f"{met.damaged:,} damaged lines dropped"
    if met.broken:
        yield f"it breaks off or is damaged: what follows frame {len(met.time):,} is not read"
