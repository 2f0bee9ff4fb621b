"""The columns of a log as their reader sees them: words and numbers in his units."""

import re
from collections import Counter
from dataclasses import dataclass

from witnessmark.jobs.channels import Explained, LogExplained
from witnessmark.model.channel import Sure
from witnessmark.model.log import Log, Note
from witnessmark.report.plan.view import Fact
from witnessmark.report.words import counted, listed, printable, short
from witnessmark.units import Kind, Preferences, Quantity, show


@dataclass(frozen=True)
class ColumnLine:
    """One column. `said`: why it is taken or not; `asks`: the same without what to type.

    `reasons`: by what it was told, a line each. `options`: what to type, each whole.

    `range`, `fastest`, `a_second` are "" where nothing is shown.
    """

    name: str
    taken_for: str
    channel: str
    unit: str
    sure: str
    how: str
    said: str
    asks: str
    reasons: tuple[str, ...]
    options: tuple[str, ...]
    range: str
    fastest: str
    a_second: str
    shown: str


@dataclass(frozen=True)
class NoteLine:
    """A repair or an assumption about the file."""

    where: str
    said: str


@dataclass(frozen=True)
class ChannelsView:
    """The whole page; `serial` and `engine` are its heading and the line under it."""

    serial: str
    engine: str
    headline: str
    asked: tuple[ColumnLine, ...]
    used: tuple[ColumnLine, ...]
    others: tuple[ColumnLine, ...]
    notes: tuple[NoteLine, ...]
    facts: tuple[Fact, ...]
    footer: str


_TO_TYPE = re.compile(r"(?:, for example|; if (?:it|they|this one) (?:is|are|runs)[^:]*)?[:,]? "
                      r"--channel '.*?'(?=$|[\s,.;:])(?: or)?")  # fmt: skip
# Change of a kind, where that reads other than a value of it: 10 °C of rise is no 50 °F.
_CHANGE = {
    Kind.TEMPERATURE: Kind.TEMPERATURE_DIFFERENCE,
    Kind.ABSOLUTE_PRESSURE: Kind.PRESSURE,
}


def channels_view(found: LogExplained, prefer: Preferences | None = None) -> ChannelsView:
    """The columns in words, in the reader's units."""
    chosen = prefer or Preferences()
    log = found.log
    return printable(
        ChannelsView(
            serial=log.source.name, engine=_length(log), headline=_headline(found),
            asked=tuple(_line(c, chosen) for c in found.asked),
            used=tuple(_line(c, chosen) for c in found.used),
            others=tuple(_line(c, chosen) for c in found.others),
            notes=tuple(NoteLine(n.where, n.said) for n in log.notes if not _asks(n)),
            facts=_facts(log),
            footer=f"Columns of {log.source.name}, log {short(log.source.sha256)}",
        )
    )  # fmt: skip


def _asks(note: Note) -> bool:
    """Whether a note says again what stands among the columns that wait for an answer."""
    return note.said.startswith("not used: ")


def _headline(found: LogExplained) -> str:
    counts = Counter(c.column.sure for c in found.used)
    parts = [f"{counts[s]} {s.value}" for s in (Sure.CERTAIN, Sure.LIKELY) if counts[s]]
    said = f"{counted(len(found.used), 'column')} in use: {listed(parts)}."
    if found.asked:
        waits = "waits" if len(found.asked) == 1 else "wait"
        said += f" {counted(len(found.asked), 'column')} {waits} for your answer."
    if found.others:
        said += f" {len(found.others)} not used."
    return said


def _length(log: Log) -> str:
    length = show(Quantity(float(log.held.sum()), Kind.DURATION), Preferences())
    return f"{length} recorded, {log.source.rows:,} rows"


def _facts(log: Log) -> tuple[Fact, ...]:
    began = (Fact("Began", log.started.strftime("%Y-%m-%d %H:%M:%S")),) if log.started else ()
    return (
        *began,
        Fact("Log", short(log.source.sha256)),
        Fact("Logger set up as", short(log.source.layout)),
    )


def _line(found: Explained, prefer: Preferences) -> ColumnLine:
    column, channel, seen = found.column, found.channel, found.shown
    reach = fastest = a_second = ""
    if channel is not None and seen is not None:
        low, high = (show(Quantity(v, channel.kind), prefer) for v in (seen.low, seen.high))
        reach = low if low == high else f"{low} to {high}"
        kind = _CHANGE.get(channel.kind, channel.kind)
        if seen.fastest is not None and channel.kind is not Kind.COUNT:
            fastest = f"{show(Quantity(seen.fastest, kind), prefer)} in 1 s"
        a_second = f"{seen.a_second:.2g}" if seen.a_second < 10 else f"{seen.a_second:.0f}"
    title = channel.title if channel is not None else (column.channel or "").capitalize()
    return ColumnLine(
        name=column.name if column.unit in column.name else f"{column.name} [{column.unit}]",
        taken_for=title, channel=column.channel or column.may_be, unit=column.taken_unit,
        sure=column.sure.value if column.sure else "", how=column.how.value, said=column.why,
        asks=_TO_TYPE.sub("", column.why),
        reasons=column.reasons, options=found.options, range=reach, fastest=fastest,
        a_second=a_second, shown=show(Quantity(column.shown, Kind.FRACTION), prefer),
    )  # fmt: skip
