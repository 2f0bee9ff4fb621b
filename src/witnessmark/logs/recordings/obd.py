"""Answers of a control unit on the diagnostic identifiers: current data, one parameter or many."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from witnessmark.logs.recordings.definitions import Bits, Message, Signal
from witnessmark.logs.recordings.frames import Bytes, Frames, Sender, Whole

ORIGIN = "our table of common parameters (SAE J1979 service 01, from memory)"
# ISO 15765-4 (from memory): answers come on 7E8 to 7EF, or on 18DAF1xx where xx is the unit.
_FIRST, _LAST = 0x7E8, 0x7EF
_LONG = 0x18DAF100
_CURRENT_DATA = 0x41  # service 01, answered
_SINGLE, _OPENING, _FOLLOWING = 0, 1, 2  # kinds of frame, ISO 15765-2


@dataclass(frozen=True)
class _Known:
    messages: Mapping[int, Message]
    sizes: Mapping[int, int]  # bytes of each parameter, known or silent


@dataclass(frozen=True)
class Answers:
    """Readings by parameter, as senders of its message, and what was not understood."""

    found: Sequence[tuple[Message, Sender]]
    strange: Mapping[int, int]  # parameter -> answers
    broken: int  # long answers of which a part is missing


@cache
def _known() -> _Known:
    text = files("witnessmark.logs.recordings").joinpath("obd.toml").read_text("utf-8")
    held = tomllib.loads(text)
    sizes = {int(pid, 16): size for pid, size in held["silent"].items()}
    messages = {}
    for answer in held["answer"]:
        sizes[answer["pid"]] = answer["bytes"]
        signals = [
            Signal(p["name"], _bits(p["byte"], p["length"]), p["factor"], p["offset"], p["unit"])
            for p in answer["parameter"]
        ]
        messages[answer["pid"]] = Message(f"PID {answer['pid']:02X}", signals, ORIGIN)
    return _Known(messages, sizes)


def _bits(byte: int, length: int) -> Bits:
    """As a DBC counts: a big-endian number starts at the top bit of its first byte."""
    return Bits(8 * (byte - 1) + 7, length, big_endian=True)


def is_answer(sender: Sender) -> bool:
    """Whether an identifier is one that control units answer on, and answers are on it."""
    if sender.extended:
        if sender.ident & ~0xFF != _LONG:
            return False
    elif not _FIRST <= sender.ident <= _LAST:
        return False
    data = sender.frames.data
    if data.shape[1] < 3:
        return False
    single = (data[:, 0] >> 4 == _SINGLE) & (data[:, 1] == _CURRENT_DATA)
    opening = (data[:, 0] >> 4 == _OPENING) & (data[:, 2] == _CURRENT_DATA)
    return bool((single | opening).any())


def answers(senders: Sequence[Sender]) -> Answers:
    """The readings in the answers of these senders."""
    found: list[tuple[Message, Sender]] = []
    strange: dict[int, int] = {}
    broken = 0
    for sender in senders:
        payloads, lost = _payloads(sender.frames)
        broken += lost
        held: dict[int, list[tuple[float, bytes]]] = {}
        for time, payload in payloads:
            for pid, data in _parts(payload, strange):
                held.setdefault(pid, []).append((time, data))
        for pid, rows in sorted(held.items()):
            if pid in _known().messages:
                found.append((_known().messages[pid], _sender(sender, rows)))
    return Answers(found, strange, broken)


def _payloads(frames: Frames) -> tuple[list[tuple[float, bytes]], int]:
    """Each whole answer to service 01 and its time; how many were cut short."""
    found: list[tuple[float, bytes]] = []
    parts, size, wanted, broken = b"", 0, 0, 0
    for time, data, length in zip(
        frames.time.tolist(), map(bytes, frames.data), frames.length.tolist(), strict=True
    ):
        kind, low = data[0] >> 4, data[0] & 15
        if kind == _SINGLE:
            if low + 1 <= length and data[1] == _CURRENT_DATA:
                found.append((time, data[1 : 1 + low]))
        elif kind == _OPENING:
            broken += wanted > 0
            parts, size, wanted = data[2:8], low << 8 | data[1], 1
        elif kind == _FOLLOWING and wanted:
            if low != wanted & 15:
                broken, wanted = broken + 1, 0
                continue
            parts, wanted = parts + data[1:8], wanted + 1
            if len(parts) >= size:
                wanted = 0
                if parts[0] == _CURRENT_DATA:
                    found.append((time, parts[:size]))
    return found, broken


def _parts(payload: bytes, strange: dict[int, int]) -> Iterator[tuple[int, bytes]]:
    """The parameters of one answer and their bytes; nothing behind one of unknown size."""
    at = 1
    while at < len(payload):
        pid = payload[at]
        size = _known().sizes.get(pid)
        if size is None:
            strange[pid] = strange.get(pid, 0) + 1
            return
        data = payload[at + 1 : at + 1 + size]
        if len(data) == size:
            yield pid, data
        at += 1 + size


def _sender(sender: Sender, rows: Sequence[tuple[float, bytes]]) -> Sender:
    count = len(rows)
    data: Bytes = np.frombuffer(b"".join(d for _, d in rows), dtype=np.uint8).reshape(count, -1)
    length: Whole = np.full(count, data.shape[1], dtype=np.int64)
    frames = Frames(
        np.array([t for t, _ in rows]), np.full(count, sender.ident),
        np.full(count, sender.extended), np.full(count, sender.bus), data, length,
    )  # fmt: skip
    return Sender(sender.ident, sender.extended, sender.bus, frames)
