"""Frames into series of readings: by the user's DBC, then by our own tables of common ones."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import polars as pl

from witnessmark.errors import UserError
from witnessmark.logs.recordings import j1939, obd
from witnessmark.logs.recordings.dbc import Dbc
from witnessmark.logs.recordings.dbc_messages import messages_of
from witnessmark.logs.recordings.definitions import Message, Signal
from witnessmark.logs.recordings.extract import last_byte, physical, present, raw
from witnessmark.logs.recordings.frames import Frames, Sender, senders
from witnessmark.logs.recordings.series import Recording, Series, given
from witnessmark.logs.timing.order import times
from witnessmark.model.log import Floats, Mask, Note

_BUS = "bus"
# Words a DBC gives to numbers that are no reading.
_NOTHING = (
    "notavailable", "unavailable", "error", "invalid", "fault", "failure", "reserved", "sna",
    "snv", "na", "n/a", "undefined", "unknown", "notused", "missing", "novalue", "nodata",
    "notdefined", "signalnotavailable", "init", "notvalid", "faulty", "defect",
)  # fmt: skip


@dataclass
class _Tally:
    """What was met and has to be said."""

    silent: list[str] = field(default_factory=list)  # signals that never hold a reading
    notes: list[Note] = field(default_factory=list)

    def say(self, where: str, text: str) -> None:
        self.notes.append(Note(where, text))


@dataclass(frozen=True)
class _Meant:
    """A message and who sends it, the one that counts first."""

    message: Message
    senders: Sequence[Sender]


def decoded(name: str, frames: Frames, buses: Sequence[Dbc], needed: bool = True) -> Recording:
    """Every signal of every frame that anything defines. UserError when nothing does, if needed."""
    told = [message for dbc in buses for message in messages_of(dbc)]
    sent = senders(frames)
    tally = _Tally()
    long = j1939.joined(sent)
    meant, rest = _by_dbc([*sent, *long.senders], told)
    spoken = j1939.is_spoken(sent)
    if spoken:
        more, rest = _by_group(rest, meant, told)
        meant += more
        if more:
            tally.say(_BUS, f"no DBC says otherwise, so {len(more)} J1939 messages are read by "
                      f"{j1939.ORIGIN}")  # fmt: skip
    asked = [s for s in rest if obd.is_answer(s)]
    meant += _answers(asked, tally)
    _told_of_rest(rest, asked, long, spoken, tally)
    if not meant and needed:
        raise _nothing(name, frames, sent, buses)
    series = [s for one in meant for s in _series(one, tally)]
    _tell_absent(told, meant, tally)
    if tally.silent:
        listed = ", ".join(tally.silent[:6]) + (" and more" if len(tally.silent) > 6 else "")
        tally.say(_BUS, f"{len(tally.silent)} signals are sent but never hold a reading "
                  f"('not available' or the like): {listed}")  # fmt: skip
    return Recording(series, [*frames.notes, *tally.notes], frames.started)


def _by_dbc(sent: Sequence[Sender], told: Sequence[Message]) -> tuple[list[_Meant], list[Sender]]:
    """Messages of the DBCs: by identifier, then by J1939 group. The first DBC that has it."""
    exact = {(m.ident, m.extended): m for m in reversed(told) if m.pgn is None}
    groups = {m.pgn: m for m in reversed(told) if m.pgn is not None}
    found: dict[int, list[Sender]] = {}
    messages: dict[int, Message] = {}
    rest = []
    for sender in sent:
        message = exact.get((sender.ident, sender.extended))
        if message is None and sender.extended:
            message = groups.get(j1939.pgn_of(sender.ident))
        if message is None:
            rest.append(sender)
            continue
        messages[id(message)] = message
        found.setdefault(id(message), []).append(sender)
    return [_Meant(messages[i], _ranked(s)) for i, s in found.items()], rest


def _ranked(sent: Sequence[Sender]) -> list[Sender]:
    """The engine's own address first, then the lower bus, then who sends most."""
    return sorted(
        sent,
        key=lambda s: (s.extended and j1939.source_of(s.ident) != j1939.ENGINE, s.bus,
                       -len(s.frames)),
    )  # fmt: skip


def _by_group(
    rest: Sequence[Sender], meant: Sequence[_Meant], told: Sequence[Message]
) -> tuple[list[_Meant], list[Sender]]:
    """What our table adds to the DBCs, also in messages of which they tell a part."""
    left = list(rest)
    by_pgn: dict[int, list[Sender]] = {}
    exact = {(m.ident, m.extended) for m in told if m.pgn is None}
    partly = [s for one in meant if one.message.pgn is not None for s in one.senders]
    for sender in [*left, *partly]:
        if sender.extended and (sender.ident, True) not in exact:
            by_pgn.setdefault(j1939.pgn_of(sender.ident), []).append(sender)
    found = []
    for message in j1939.filled_up(told):
        assert message.pgn is not None
        if message.pgn in by_pgn:
            found.append(_Meant(message, _ranked(by_pgn[message.pgn])))
    used = {id(s) for one in found for s in one.senders}
    return found, [s for s in left if id(s) not in used]


def _answers(asked: Sequence[Sender], tally: _Tally) -> list[_Meant]:
    """Readings in the answers of control units."""
    if not asked:
        return []
    got = obd.answers(asked)
    by_pid: dict[int, tuple[Message, list[Sender]]] = {}
    for message, sender in got.found:
        by_pid.setdefault(id(message), (message, []))[1].append(sender)
    if by_pid:
        tally.say(_BUS, f"answers of control units read by {obd.ORIGIN}")
    if got.strange:
        listed = ", ".join(f"{pid:02X}" for pid in sorted(got.strange)[:12])
        count = sum(got.strange.values())
        tally.say(_BUS, f"{count:,} answers hold a parameter not in our table ({listed})")
    if got.broken:
        tally.say(_BUS, f"{got.broken:,} answers in several frames are not whole: left out")
    return [_Meant(message, sent) for message, sent in by_pid.values()]


def _told_of_rest(
    rest: Sequence[Sender], asked: Sequence[Sender], long: j1939.Joined, spoken: bool,
    tally: _Tally,
) -> None:  # fmt: skip
    done = {id(s) for s in asked}
    unknown = [s for s in rest if id(s) not in done and not _carries(s, spoken)]
    if unknown:
        count = sum(len(s.frames) for s in unknown)
        listed = ", ".join(_ident(s) for s in sorted(unknown, key=lambda s: -len(s.frames))[:8])
        more = f" and {len(unknown) - 8} more" if len(unknown) > 8 else ""
        tally.say(
            _BUS, f"{count:,} frames or long messages of {len(unknown)} identifiers have no "
            f"definition: not read ({listed}{more})",
        )  # fmt: skip
    if spoken and long.broken:
        tally.say(_BUS, f"{long.broken:,} messages in several packets are not whole: left out")
    if spoken and long.whole:
        tally.say(_BUS, f"{long.whole:,} messages in several packets put together")


def _carries(sender: Sender, spoken: bool) -> bool:
    """Whether frames only carry the parts of longer messages."""
    return spoken and sender.extended and j1939.pgn_of(sender.ident) in j1939.CARRIERS


def _ident(sender: Sender) -> str:
    return f"{sender.ident:08X}" if sender.extended else f"{sender.ident:03X}"


def _nothing(name: str, frames: Frames, sent: Sequence[Sender], buses: Sequence[Dbc]) -> UserError:
    listed = ", ".join(_ident(s) for s in sent[:12]) + (" and more" if len(sent) > 12 else "")
    held = f"{len(frames):,} frames of {len(sent)} identifiers ({listed})"
    if buses:
        names = " nor ".join(dbc.name for dbc in buses)
        return UserError(
            name, f"{held}, and {names} has none of them", "the DBC of this bus is wanted",
            "Give the right one: --dbc FILE",
        )  # fmt: skip
    return UserError(
        name, f"{held}, and what they mean is not known",
        "a DBC that says what the frames mean is wanted",
        "Give it: --dbc FILE, or export the log as CSV",
    )  # fmt: skip


def _tell_absent(told: Sequence[Message], meant: Sequence[_Meant], tally: _Tally) -> None:
    """Messages of a DBC that the log does not have at all."""
    met = {id(one.message) for one in meant}
    absent = [m.name for m in told if id(m) not in met]
    if told and absent and len(absent) < len(told):
        tally.say("DBC", f"{len(absent)} of its {len(told)} messages are not in the log")


def _series(meant: _Meant, tally: _Tally) -> list[Series]:
    """One series a signal, from the first sender that has a reading of it."""
    found = []
    for signal in meant.message.signals:
        one = _first_with_readings(meant, signal, meant.message.pgn is not None, tally)
        if one is not None:
            found.append(one)
    return found


def _first_with_readings(
    meant: _Meant, signal: Signal, is_group: bool, tally: _Tally
) -> Series | None:
    empty = None
    for sender in meant.senders:
        rows = np.flatnonzero(_there(sender.frames, signal))
        if not rows.size:
            continue
        frames = sender.frames.at(rows)
        cells, said = _cells(frames, signal, is_group)
        series = Series(signal.name, signal.unit, frames.time, given(cells), meant.message.name)
        if _any(cells):
            for text in said:
                tally.say(f"column '{signal.name}'", text)
            _tell_others(meant, sender, signal, tally)
            return series
        empty = empty or series
    if empty is not None:
        tally.silent.append(empty.name)
    return empty


def _there(frames: Frames, signal: Signal) -> Mask:
    if last_byte(signal.bits) > frames.data.shape[1]:
        return np.zeros(len(frames), dtype=bool)
    return present(frames, signal)


def _tell_others(meant: _Meant, used: Sender, signal: Signal, tally: _Tally) -> None:
    if len(meant.senders) < 2:
        return
    others = ", ".join(_ident(s) for s in meant.senders if s is not used)
    tally.say(
        f"column '{signal.name}'", f"{meant.message.name} comes from several: {_ident(used)} "
        f"used, not {others}",
    )  # fmt: skip


def _any(cells: pl.Series) -> bool:
    if cells.dtype == pl.String:
        return cells.null_count() < len(cells)
    return bool(cells.is_not_nan().any())


def _cells(frames: Frames, signal: Signal, is_group: bool) -> tuple[pl.Series, list[str]]:
    """The readings, and what was no reading among them."""
    numbers = raw(frames.data, signal.bits)
    said: list[str] = []
    blank = np.zeros(len(numbers), dtype=bool)
    if is_group:
        none = j1939.no_reading(numbers, signal.bits)
        for mask, what in (
            (none.absent, "'not available'"), (none.error, "'error'"),
            (none.reserved, "something that is no reading"),
        ):  # fmt: skip
            if mask.any():
                said.append(f"says {what} {times(int(mask.sum()))}: no reading")
            blank |= mask
    if signal.labels and not signal.bits.floating:
        words, nothing = _labels(signal)
        for number in nothing:
            blank |= numbers == number
        seen = set(np.unique(numbers[~blank]).tolist())
        if words and seen and seen <= set(words):
            texts = pl.Series(numbers, dtype=pl.Int64 if signal.bits.signed else pl.UInt64)
            text = texts.replace_strict(words, default=None, return_dtype=pl.String)
            return text.set(pl.Series(blank), None), said
    values: Floats = physical(numbers, signal)
    values[blank | ~np.isfinite(values)] = np.nan
    return pl.Series(values), said


def _labels(signal: Signal) -> tuple[dict[int, str], list[int]]:
    """Words for numbers, parted into those that are readings and those that are none."""
    words, nothing = {}, []
    for number, text in signal.labels.items():
        plain = "".join(c for c in text.lower() if c.isalpha() or c == "/")
        if plain in _NOTHING:
            nothing.append(number)
        else:
            words[number] = text
    return words, nothing
