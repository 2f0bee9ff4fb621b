"""What may come of a damaged log: a plain refusal, or numbers that stand where the file has them.

The file is read once more by the letter, in the dumbest way there is: lines split at the
delimiter. A number that reached a channel of another column is a fault of ours unless the
damaged file itself has it there: under that name, in a row of as many cells as the names' row.
"""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from witnessmark.model.channel import Column
from witnessmark.model.log import Log
from witnessmark.physics.atmosphere import STANDARD_ATMOSPHERE
from witnessmark.units import scale

from .corpus import QUANTITIES, STEP, WHOSE, Quantity, Sound

OF_CHANNEL = {q.channel: (i, q) for i, q in enumerate(QUANTITIES)}
_TOKEN = re.compile(r"[^\s,;\t|\"]+")
_POWERS = (1e-4, 1e-3, 1e-2, 1e2, 1e3, 1e4)
_TIME_OFF = 0.05  # of the usual step: a unit of time mistaken is off by far more


@dataclass(frozen=True)
class Fault:
    """Something silently wrong: what kind, and where."""

    kind: str
    said: str


def unsound(log: Log) -> str:
    """What every log promises and this one breaks; "" if nothing."""
    if len(log.time) < 2 or log.time[0] != 0 or not np.all(np.diff(log.time) > 0):
        return "time does not run on from nought"
    if log.held.shape != log.time.shape or not np.all(log.held >= 0):
        return "a sample stands for less than no time"
    if not np.isfinite(log.held).all() or not log.channels:
        return "no end to a sample, or no channels"
    for name, values in log.channels.items():
        if values.shape != log.time.shape or np.isinf(values).any():
            return f"{name} has another shape, or no end"
    return ""


def faults(sound: Sound, data: bytes, log: Log) -> Iterator[Fault]:
    """Everything silently wrong in what was read."""
    if broken := unsound(log):
        yield Fault("unsound", broken)
    if not sound.coded:
        return
    if sound.kind:
        yield from _foreign(log)
        return
    letter = _Letter(sound, data)
    rows: dict[int, int] = {}  # sample -> row, where the marks tell
    for name in log.channels:
        yield from _channel(name, log, letter, rows)
    yield from _time(log, letter, rows)


def _foreign(log: Log) -> Iterator[Fault]:
    """Readings out of a container that checks its bytes which are not their channel's."""
    for name in log.channels:
        known = OF_CHANNEL.get(name)
        values = log[name]
        fresh = log.fresh.get(name, np.isfinite(values)) & np.isfinite(values)
        for value in values[fresh].tolist():
            whose = _marked((value - known[1].offset) / known[1].factor) if known else None
            if known is None or whose is None or whose[0] != known[0]:
                yield Fault("foreign", f"{value!r} in {name} is not one of its readings")
                return


def _channel(name: str, log: Log, letter: "_Letter", rows: dict[int, int]) -> Iterator[Fault]:
    sources = [c for c in log.columns if c.channel == name]
    known = OF_CHANNEL.get(name)
    shifted: Counter[str] = Counter()
    strange = 0
    values = log[name]
    fresh = log.fresh.get(name, np.isfinite(values)) & np.isfinite(values)
    for sample in np.flatnonzero(fresh).tolist():
        value = float(values[sample])
        whose, how = _whose(value, known[1] if known else None, sources)
        if whose is None:
            strange += 1
            if how:
                yield Fault("scaled", f"{name} at sample {sample}: {how}")
                return
            continue
        column, row = whose
        if known and column == known[0]:
            rows[sample] = row
            if how and not letter.has_unit(sources, how):
                yield Fault("scaled", f"{name} taken as {how}")
                return
        elif not any(letter.says(s.name, column, row) for s in sources):
            shifted[QUANTITIES[column].name] += 1
    for other, many in shifted.items():
        at = ", ".join(f"'{s.name}'" for s in sources)
        yield Fault("shifted", f"{many} readings of {other} came out as {name} (column {at})")
    if strange > letter.new + 1:  # the cell at a cut may read like one that was cut off
        yield Fault("invented", f"{strange} readings of {name} are in no cell of the file")


Whose = tuple[int, int] | None


def _whose(value: float, known: Quantity | None, sources: list[Column]) -> tuple[Whose, str]:
    """Column and row of a value; with the unit where it is not the column's own."""
    if known is not None:
        plain = (value - known.offset) / known.factor
        if found := _marked(plain):
            return found, ""
        if any(_marked(plain * by) for by in _POWERS):
            return None, "ten, a hundred or a thousand times too much or too little"
        for shift in (STANDARD_ATMOSPHERE, -STANDARD_ATMOSPHERE):
            if known.unit in ("kPa", "bar") and _marked(plain + shift / known.factor):
                return None, "the atmosphere added or taken off"
    for source in sources:
        by = _scale(source.taken_unit, known.channel if known else source.channel or "")
        if by and (found := _marked((value - by[1]) / by[0])):
            return found, source.taken_unit
    return None, ""


@lru_cache(maxsize=512)
def _scale(unit: str, channel: str) -> tuple[float, float] | None:
    from witnessmark.logs.channels.vocabulary import vocabulary  # noqa: PLC0415 - only here

    entry = vocabulary().entries.get(channel)
    by = scale("" if unit == "a plain fraction" else unit, entry.channel.kind) if entry else None
    return (by.factor, by.offset) if by else None


def _marked(number: float) -> Whose:
    if not abs(number) < 1e6:
        return None
    rounded = round(number, 4)
    if abs(rounded - number) > 2e-6:
        return None
    return WHOSE.get(f"{rounded:.4f}")


def _time(log: Log, letter: "_Letter", rows: dict[int, int]) -> Iterator[Fault]:
    """Half a second a row, as the file has it, unless its time column was hit."""
    samples = sorted(rows)
    steps = [
        float(log.time[b] - log.time[a]) for a, b in pairwise(samples) if rows[b] - rows[a] == 1
    ]
    if len(steps) < 8:
        return
    usual = float(np.median(steps))
    if abs(usual - STEP) > _TIME_OFF * STEP and not letter.time_hit:
        yield Fault("time", f"a step of {usual:g} s in place of {STEP:g} s")


class _Letter:
    """The damaged file, split at its delimiter and nothing else."""

    def __init__(self, sound: Sound, data: bytes) -> None:
        self.sound = sound
        text = _decode(data)
        self.lines = [self._cells(line) for line in re.split(r"\r\n|\n|\r", text)]
        had = Counter(_TOKEN.findall(sound.data.decode()))
        self.new = (Counter(_TOKEN.findall(text)) - had).total()
        first = [self._cells(line) for line in sound.data.decode().splitlines()]
        head = next(cells for cells in first if len(cells) > 3)
        whole = self.lines.count(head) > 0
        times = {row[0] for row in first}
        self.time_hit = not whole or 2 * sum(row[0] in times for row in self.lines) < len(
            self.lines
        )

    def _cells(self, line: str) -> list[str]:
        parts = self.sound.parts
        cells = (line.split() or [""]) if parts == " " else line.split(parts)
        cells = [cell.strip(' "\ufeff\0') for cell in cells]
        while len(cells) > 1 and not cells[-1]:
            cells.pop()
        return cells

    def says(self, name: str, column: int, row: int) -> bool:
        """Whether the file has this number under that name, in a row as wide as the names'."""
        number = _text_of(column, row)
        bare = re.sub(r" \(column \d+\)$", "", name)
        for i, cells in enumerate(self.lines):
            for place in (p for p, cell in enumerate(cells) if _same(cell, number)):
                heads = (h for h in self.lines[:i][::-1] if bare in h)
                head = next(heads, None)
                if head is None and bare.startswith("column "):
                    return True  # no names at all: counted from the left
                if head is None and self._long(cells, bare):
                    return True
                if head is not None and len(head) == len(cells) and head[place] == bare:
                    return True
        return False

    @staticmethod
    def _long(cells: list[str], name: str) -> bool:
        return name in cells

    def has_unit(self, sources: list[Column], unit: str) -> bool:
        """Whether the file names this unit: inside the name, or in a row above."""
        for source in sources:
            if unit in source.name or unit == source.unit:
                return any(unit in cell for cells in self.lines for cell in cells)
        return False


def _same(cell: str, number: str) -> bool:
    return cell.replace(",", ".").startswith(number)


@lru_cache(maxsize=4096)
def _text_of(column: int, row: int) -> str:
    return next(text for text, whose in WHOSE.items() if whose == (column, row))


def _decode(data: bytes) -> str:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    if data[:200].count(0) > 60:
        little = data[1:200:2].count(0) > data[0:200:2].count(0)
        return data.decode("utf-16-le" if little else "utf-16-be", errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")
