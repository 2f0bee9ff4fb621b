"""The moments of a packet: those that broke a limit, numbered as the verdict numbers them."""

from dataclasses import dataclass
from datetime import timedelta

from witnessmark.jobs.packet.names import slug
from witnessmark.jobs.packet.packet import Packet
from witnessmark.model.log import Log, Span
from witnessmark.report.verdict.view import numbered
from witnessmark.units import Kind, Preferences, Quantity, show

AROUND = 5.0  # seconds before and after a moment
FIRST_PAGE = 5


@dataclass(frozen=True)
class Moment:
    """One moment. `broke`: whether a limit was broken, or it is only where the log came nearest."""

    number: int
    title: str
    said: str
    span: Span
    at: str
    clock: str  # wall clock, "" if the log does not tell
    lasted: str
    broke: bool

    @property
    def stem(self) -> str:
        """Its files' name without folder and ending."""
        return f"{self.number}-{slug(self.title)}"


def moments(packet: Packet) -> tuple[Moment, ...]:
    """The broken moments of the verdict; where nothing was broken, the nearest to a limit."""
    found, prefer = packet.review, packet.prefer
    broken = [
        _moment(n, finding.title, event.said.read(prefer), event.span, found.log, True)
        for n, finding, event in numbered(found.verdict)
    ]
    if broken:
        return tuple(broken)
    return tuple(
        _moment(n, one.title, one.said.read(prefer), one.span, found.log, False)
        for n, one in enumerate(packet.nearest, 1)
    )


def worst(found: tuple[Moment, ...]) -> tuple[Moment, ...]:
    """Five for the first page: of each broken line its longest first, then its next."""
    lines: dict[str, list[Moment]] = {}
    for moment in found:
        lines.setdefault(moment.title, []).append(moment)
    turns = [
        (turn, place, moment)
        for place, line in enumerate(lines.values())
        for turn, moment in enumerate(sorted(line, key=lambda m: -m.span.length))
    ]
    return tuple(m for _, _, m in sorted(turns, key=lambda t: t[:2])[:FIRST_PAGE])


def window(log: Log, span: Span) -> slice:
    """The samples of a moment with the seconds around it."""
    return log.at(Span(span.start - AROUND, span.end + AROUND))


def _moment(number: int, title: str, said: str, span: Span, log: Log, broke: bool) -> Moment:
    start = log.started + timedelta(seconds=span.start) if log.started else None
    return Moment(
        number, title, said, span, _seconds(span.start), f"{start:%H:%M:%S}" if start else "",
        _seconds(span.length), broke,
    )  # fmt: skip


def _seconds(seconds: float) -> str:
    return show(Quantity(seconds, Kind.DURATION), Preferences())
