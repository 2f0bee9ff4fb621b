"""J1939: parameter groups, what their numbers say besides readings, and long messages."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from witnessmark.logs.recordings.definitions import Bits, Message, Signal
from witnessmark.logs.recordings.extract import Raw
from witnessmark.logs.recordings.frames import Bytes, Frames, Sender, Whole
from witnessmark.model.log import Mask

ENGINE = 0  # source address of the (first) engine; SAE J1939-81, from memory
ORIGIN = "our table of common parameters (SAE J1939-71, from memory)"
_TO_ONE = 0xF000  # PDU formats below 240 name a destination, not a group extension
# Transport of messages longer than a frame: SAE J1939-21, from memory.
_CONNECTION, _TRANSFER = 0xEC00, 0xEB00
CARRIERS = (_CONNECTION, _TRANSFER)
_ALL, _REQUEST = 32, 16
_PART = 7  # bytes a packet carries
_SURE = 2  # different groups of our table that must be met before a log is taken for J1939


def pgn_of(ident: int) -> int:
    """Parameter group of a 29-bit identifier: without priority, source and destination."""
    group = ident >> 8 & 0x3FFFF
    return group if group & 0xFF00 >= _TO_ONE else group & 0x3FF00


def source_of(ident: int) -> int:
    """Source address of a 29-bit identifier."""
    return ident & 0xFF


@cache
def table() -> tuple[Message, ...]:
    """The parameters in common use, for logs whose DBC is not there or lacks them."""
    text = files("witnessmark.logs.recordings").joinpath("j1939.toml").read_text("utf-8")
    return tuple(_message(group) for group in tomllib.loads(text)["group"])


def _message(group: dict[str, Any]) -> Message:
    signals = [
        Signal(
            f"{p['name']} (SPN {p['spn']})", Bits(8 * (p["byte"] - 1) + p.get("bit", 1) - 1,
            p["length"]), p["factor"], p["offset"], p["unit"],
        )
        for p in group["parameter"]
    ]  # fmt: skip
    return Message(group["name"], signals, ORIGIN, pgn=group["pgn"])


def is_spoken(sent: Sequence[Sender]) -> bool:
    """Whether these frames are J1939, as far as frames can tell: groups we know, all 8 bytes."""
    known = {message.pgn for message in table()}
    met = {
        pgn_of(s.ident) for s in sent if s.extended and bool((s.frames.length == 8).all())
    } & known
    return len(met) >= _SURE


def filled_up(told: Sequence[Message]) -> list[Message]:
    """Groups of our table, without the bits of which a DBC says what they mean."""
    taken: dict[int | None, list[Bits]] = {}
    for message in told:
        if message.pgn is not None:
            taken.setdefault(message.pgn, []).extend(s.bits for s in message.signals)
    found = []
    for message in table():
        free = [s for s in message.signals if not _overlaps(s.bits, taken.get(message.pgn, []))]
        if free:
            found.append(replace(message, signals=free))
    return found


def _overlaps(bits: Bits, others: Sequence[Bits]) -> bool:
    return any(
        bits.start < b.start + b.length and b.start < bits.start + bits.length
        for b in others if not b.big_endian
    )  # fmt: skip


@dataclass(frozen=True)
class NoReading:
    """Where a number says something other than a reading."""

    absent: Mask  # "not available"
    error: Mask
    reserved: Mask


def no_reading(numbers: Raw, bits: Bits) -> NoReading:
    """SAE J1939-71 (from memory): the numbers at the top of a range are no readings.

    Of 8 bits and more: all ones of the top byte "not available", 0xFE an error, 0xFB to 0xFD
    kept for other uses. Of 2 and 4 bits: all ones and one less.
    """
    none = np.zeros(len(numbers), dtype=bool)
    if bits.signed or bits.floating or bits.length < 2:
        return NoReading(none, none, none)
    if bits.length < 8:
        top = (1 << bits.length) - 1
        error = numbers == top - 1 if bits.length in (2, 4) else none
        return NoReading(numbers == top, error, none)
    high = numbers.astype(np.uint64) >> np.uint64(bits.length - 8)
    return NoReading(high == 0xFF, high == 0xFE, (high >= 0xFB) & (high <= 0xFD))


@dataclass(frozen=True)
class Joined:
    """Messages longer than a frame, put together. `broken`: those of which a part is missing."""

    senders: Sequence[Sender]
    whole: int = 0
    broken: int = 0


def joined(sent: Sequence[Sender]) -> Joined:
    """The long messages in the frames of the transport protocol, as senders of their groups."""
    moving = [s for s in sent if s.extended and pgn_of(s.ident) in CARRIERS]
    pairs: dict[tuple[int, int], list[Sender]] = {}
    for sender in moving:
        way = sender.ident & 0xFFFF  # destination and source
        pairs.setdefault((sender.bus, way), []).append(sender)
    found: dict[tuple[int, int], list[tuple[float, bytes]]] = {}
    broken = 0
    for (bus, way), both in pairs.items():
        for time, group, payload in _messages(both):
            if payload is None:
                broken += 1
                continue
            ident = (group if group & 0xFF00 >= _TO_ONE else group | way >> 8) << 8 | way & 0xFF
            found.setdefault((bus, ident), []).append((time, payload))
    senders = [_sender(bus, ident, parts) for (bus, ident), parts in found.items()]
    return Joined(senders, sum(len(s.frames) for s in senders), broken)


def _messages(both: Sequence[Sender]) -> list[tuple[float, int, bytes | None]]:
    """Time, group and bytes of each message one address sent to another; None if incomplete."""
    rows = [
        (float(t), pgn_of(s.ident) == _CONNECTION, bytes(d))
        for s in both
        for t, d in zip(s.frames.time, s.frames.data[:, :8], strict=True)
    ]
    rows.sort(key=lambda row: row[0])
    found: list[tuple[float, int, bytes | None]] = []
    size, group, parts, wanted = 0, 0, b"", 0
    for time, opens, data in rows:
        if opens:
            if data[0] not in (_ALL, _REQUEST):
                continue
            if wanted:
                found.append((time, group, None))
            size, group = data[1] | data[2] << 8, data[5] | data[6] << 8 | data[7] << 16
            parts, wanted = b"", 1
        elif wanted and data[0] == wanted:
            parts += data[1 : 1 + _PART]
            wanted += 1
            if len(parts) >= size:
                found.append((time, group, parts[:size]))
                wanted = 0
        elif wanted:
            found.append((time, group, None))
            wanted = 0
    return found


def _sender(bus: int, ident: int, parts: Sequence[tuple[float, bytes]]) -> Sender:
    width = max(len(p) for _, p in parts)
    data: Bytes = np.zeros((len(parts), width), dtype=np.uint8)
    for row, (_, payload) in zip(data, parts, strict=True):
        row[: len(payload)] = np.frombuffer(payload, dtype=np.uint8)
    length: Whole = np.array([len(p) for _, p in parts], dtype=np.int64)
    count = len(parts)
    frames = Frames(
        np.array([t for t, _ in parts]), np.full(count, ident), np.ones(count, dtype=bool),
        np.full(count, bus), data, length,
    )  # fmt: skip
    return Sender(ident, True, bus, frames)
