"""The first page of a packet as its reader sees it: words only, in his units."""

from dataclasses import dataclass

from witnessmark.jobs.packet.archive import Member
from witnessmark.jobs.packet.packet import Packet
from witnessmark.model.plan import Limit, Phase, RunPlan
from witnessmark.model.tuner_answer import MapNamed
from witnessmark.report.packet.build_lines import build_lines
from witnessmark.report.packet.moments import Moment, moments, worst
from witnessmark.report.plan.answers import AnswerView, answer_views
from witnessmark.report.plan.view import Fact
from witnessmark.report.verdict.view import ColumnView, FindingView, verdict_view
from witnessmark.report.words import counted, printable, short, title
from witnessmark.units import show


@dataclass(frozen=True)
class CeilingView:
    """A ceiling of the phase and who set it."""

    name: str
    value: str
    who: str


@dataclass(frozen=True)
class FileView:
    """A file of the packet and what it is."""

    name: str
    what: str


@dataclass(frozen=True)
class PacketView:
    """The first page, and the page on engine and plan."""

    id: str
    serial: str
    engine: str
    phase: str
    key: str
    answer: str
    headline: str
    note: str
    moments_head: str
    moments_said: str
    moments: tuple[Moment, ...]
    findings: tuple[FindingView, ...]
    missing: tuple[FindingView, ...]
    map: tuple[Fact, ...]
    facts: tuple[Fact, ...]
    ceilings: tuple[CeilingView, ...]
    build: tuple[Fact, ...]
    answers: tuple[AnswerView, ...]
    columns: tuple[ColumnView, ...]
    answer_to: str
    answer_how: tuple[str, ...]
    files: tuple[FileView, ...]
    footer: str


_HOW = (
    "Fill in answer.toml (any text editor opens it) and send it back. Each line says what goes "
    "there: continue, new map, repeat the log or stop; the map by name and checksum; new ceilings "
    "where you want them; your name and the day.",
    "Or say it by telephone and read out the packet's id: whoever looks after the engine can fill "
    "in the same form in the browser.",
)


def packet_view(packet: Packet, members: tuple[Member, ...]) -> PacketView:
    """Both pages in words, in the tuner's units."""
    found, plan = packet.review, packet.review.plan
    verdict = verdict_view(found, packet.prefer)
    all_moments = moments(packet)
    shown = worst(all_moments)
    broke = bool(shown) and shown[0].broke
    view = PacketView(
        id=packet.id,
        serial=plan.serial,
        engine=plan.engine,
        phase=found.phase.title,
        key=verdict.key,
        answer=verdict.answer,
        headline=verdict.headline,
        note=packet.note,
        moments_head="Worst moments" if broke else "Nearest to a limit: nothing was broken",
        moments_said=_left(len(all_moments), len(shown)),
        moments=shown,
        findings=verdict.findings,
        missing=verdict.missing,
        map=_map(packet),
        facts=(*verdict.facts, Fact("Plan hash (SHA-256)", packet.plan_sha256)),
        ceilings=_ceilings(packet, found.phase),
        build=build_lines(packet.sheet, packet.prefer) if packet.sheet else (),
        answers=answer_views(plan, packet.prefer),
        columns=verdict.columns,
        answer_to=packet.answer_to or _answer_to(packet),
        answer_how=_HOW,
        files=tuple(FileView(m.name, m.what) for m in members),
        footer=f"{plan.serial} · packet {packet.id} · plan {short(packet.plan_sha256)} · "
        f"log {short(found.log.source.sha256)}",
    )
    return printable(view)


def _left(whole: int, shown: int) -> str:
    if whole == shown:
        return ""
    return f"{counted(whole, 'moment')} in all; the others are in the folder 3-moments."


def _map(packet: Packet) -> tuple[Fact, ...]:
    named = packet.map
    if named is None:
        return (Fact("Map", "not named by whoever made this packet"),)
    lines = [Fact("Map", named.name)]
    if named.sha256:
        lines += [Fact("SHA-256 of its file", named.sha256), Fact("CRC32", named.crc32)]
    else:
        lines.append(Fact("Checksum", "not shown: the map's file was not at hand"))
    last = _last_map(packet.review.plan)
    if last and last.differs(named):
        lines.append(Fact("Careful", f"the tuner's last answer named another map, {last.name}"))
    return tuple(lines)


def _last_map(plan: RunPlan) -> MapNamed | None:
    return next((a.map for a in reversed(plan.answers) if a.map), None)


def _ceilings(packet: Packet, phase: Phase) -> tuple[CeilingView, ...]:
    def view(name: str, limit: Limit) -> CeilingView:
        return CeilingView(title(name), show(limit.value, packet.prefer), str(limit.authority))

    rows = [view(name, limit) for name, limit in phase.ceilings.items()]
    redline = packet.review.plan.redline
    return (*rows, *([view("redline", redline)] if redline else ()))


def _answer_to(packet: Packet) -> str:
    if packet.sheet is None:
        return "whoever sent you this packet"
    who = packet.sheet.identity
    names = [name for name in (who.shop, who.built_by) if name]
    return ", ".join(names) or "whoever sent you this packet"
