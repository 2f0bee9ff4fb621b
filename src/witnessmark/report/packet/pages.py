"""The packet's own pages: HTML for a phone, and the first one as plain text too."""

import textwrap
from collections.abc import Iterable, Iterator

from witnessmark.report.html import page_of
from witnessmark.report.packet.moments import Moment
from witnessmark.report.packet.view import PacketView
from witnessmark.report.plan.view import Fact
from witnessmark.report.words import unbroken

_WIDE = 72  # letters a line: a phone held across shows them


def first_page(view: PacketView) -> str:
    """The first page as HTML: one file, no script, nothing fetched."""
    return page_of("packet.html.j2", view=unbroken(view))


def engine_page(view: PacketView) -> str:
    """Build and plan in short, as HTML."""
    return page_of("packet_engine.html.j2", view=unbroken(view))


def first_text(view: PacketView) -> str:
    """The first page as plain text."""
    return "\n".join(_lines(view)) + "\n"


def _lines(view: PacketView) -> Iterator[str]:
    yield f"{view.serial} - {view.engine} - {view.phase}"
    yield from _wrapped(view.headline)
    if view.note:
        yield from ("", "FROM WHOEVER SENT THIS", *_wrapped(view.note))
    yield from _answered(view)
    yield from ("", view.moments_head.upper())
    for moment in view.moments:
        yield from _wrapped(moment_line(moment), "  ")
    if view.moments_said:
        yield from _wrapped(view.moments_said)
    if not view.moments:
        yield "The log shows no load, temperature or oil pressure to look at."
    yield from ("", "LINE BY LINE")
    for line in view.findings:
        who = f" Limit set by {line.who}." if line.who else ""
        yield from _wrapped(f"{line.answer.upper()}: {line.title}. {line.found}{who}", "  ")
    yield from ("", "WHAT THIS LOG DOES NOT SHOW")
    for line in view.missing:
        required = " (required)" if line.required else ""
        yield from _wrapped(f"{line.title}{required}: {line.do_next or line.found}", "  ")
    if not view.missing:
        yield "Every line of this phase had something to be judged by."
    yield from ("", "MAP", *_facts(view.map))
    yield from ("", "ENGINE AND PLAN", *_facts(view.facts))
    yield from ("", "YOUR ANSWER", *_wrapped(f"To: {view.answer_to}. Packet {view.id}."))
    for how in view.answer_how:
        yield from _wrapped(how, "  ")
    yield from ("", "WHAT IS IN THIS PACKET")
    for file in view.files:
        yield from _wrapped(f"{file.name}: {file.what}", "  ")


def _answered(view: PacketView) -> Iterator[str]:
    for answer in view.answers[:1]:
        yield from ("", "YOUR LAST ANSWER", f"{answer.says} ({answer.signed}).")
        if answer.words:
            yield from _wrapped(answer.words)


def moment_line(moment: Moment) -> str:
    """A moment in one line."""
    when = f"{moment.at} ({moment.clock})" if moment.clock else moment.at
    return f"{moment.number}. At {when}, for {moment.lasted}: {moment.title}, {moment.said}"


def _facts(facts: Iterable[Fact]) -> Iterator[str]:
    for fact in facts:
        yield from _wrapped(f"{fact.name}: {fact.value}", "  ")


def _wrapped(text: str, after: str = "") -> list[str]:
    return textwrap.wrap(text, _WIDE, subsequent_indent=after, break_long_words=False) or [""]
