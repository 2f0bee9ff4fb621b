"""The messages of a DBC in our own terms."""

from collections.abc import Mapping, Sequence
from typing import Any

from witnessmark.errors import UserError
from witnessmark.logs.recordings.dbc import Dbc
from witnessmark.logs.recordings.definitions import Bits, Chosen, Message, Signal
from witnessmark.logs.recordings.extras import wanted_for
from witnessmark.logs.recordings.j1939 import pgn_of

_LONGEST = 64  # bits; longer ones hold text, never a reading


def messages_of(dbc: Dbc) -> list[Message]:
    """All messages of a DBC. UserError if it cannot be read."""
    with wanted_for("can", "a DBC"):
        import cantools  # noqa: PLC0415 - comes with the extra, and only bus logs need it

    try:
        database: Any = cantools.database.load_string(dbc.text, "dbc", strict=False)
    except Exception as error:  # its parser raises a dozen kinds, none with a common base
        why = " ".join(str(error).split())[:160]
        raise UserError(
            dbc.name, f"it cannot be read as a DBC ({why})", "a DBC file is wanted",
            "Export it again, or ask whoever made it",
        ) from None  # fmt: skip
    return [_message(message, dbc.name) for message in database.messages]


def _message(message: Any, origin: str) -> Message:
    signals = {s.name: s for s in message.signals}
    kept = [
        _signal(s, signals) for s in message.signals
        if s.length <= _LONGEST and not (s.is_float and s.length not in (16, 32, 64))
    ]  # fmt: skip
    extended = bool(message.is_extended_frame)
    pgn = pgn_of(message.frame_id) if extended and message.protocol == "j1939" else None
    return Message(message.name, kept, origin, message.frame_id, extended, pgn)


def _signal(signal: Any, others: Mapping[str, Any]) -> Signal:
    labels = {int(n): str(text) for n, text in (signal.choices or {}).items()}
    return Signal(
        signal.name, _bits(signal), float(signal.scale), float(signal.offset),
        (signal.unit or "").strip(), labels, _when(signal, others),
    )  # fmt: skip


def _bits(signal: Any) -> Bits:
    big_endian = signal.byte_order == "big_endian"
    return Bits(
        signal.start, signal.length, big_endian, bool(signal.is_signed), bool(signal.is_float)
    )


def _when(signal: Any, others: Mapping[str, Any]) -> tuple[Chosen, ...]:
    """The choices that must hold, from the nearest up: one chooser may hang on another."""
    found: list[Chosen] = []
    while signal.multiplexer_ids and signal.multiplexer_signal in others:
        chooser = others[signal.multiplexer_signal]
        found.append(Chosen(_bits(chooser), _ranges(signal.multiplexer_ids)))
        if len(found) > len(others):
            break
        signal = chooser
    return tuple(found)


def _ranges(numbers: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """Whole numbers as ranges: a DBC may choose by thousands of them."""
    found: list[list[int]] = []
    for number in sorted(numbers):
        if found and number == found[-1][1] + 1:
            found[-1][1] = number
        else:
            found.append([number, number])
    return tuple((low, high) for low, high in found)
