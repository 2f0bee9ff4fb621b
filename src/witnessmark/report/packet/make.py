"""A packet written down: every page, table and picture of it, in the order a tuner reads."""

import io
import json
import shutil
from collections.abc import Callable, Iterator, Sequence
from importlib.metadata import version
from typing import IO, Any

from witnessmark.jobs.packet.answer_blank import answer_blank
from witnessmark.jobs.packet.archive import Member, Writer, bytes_member, write_packet
from witnessmark.jobs.packet.channels import channel_csv, channel_rows
from witnessmark.jobs.packet.names import safe_name
from witnessmark.jobs.packet.packet import Packet
from witnessmark.jobs.packet.received import ANSWER
from witnessmark.jobs.packet.table import frame, write_csv
from witnessmark.jobs.packet.units import Shown
from witnessmark.report.html import verdict_html
from witnessmark.report.packet.chart import moment_chart
from witnessmark.report.packet.moments import Moment, moments, window
from witnessmark.report.packet.pages import engine_page, first_page, first_text
from witnessmark.report.packet.view import packet_view
from witnessmark.report.pdf import verdict_pdf
from witnessmark.report.verdict.data import verdict_json

Step = Callable[[str], None]
_CELL = 12  # bytes a number takes in a CSV, about


def make_packet(packet: Packet, out: IO[bytes], step: Step = lambda _: None) -> None:
    """Write the packet as a zip. The same packet gives the same bytes.

    `out` : a stream that can be wound back. `step` is told the name of each file as it is written.
    """
    write_packet(out, _about(packet), _in_order(packet), step)


def packet_bytes(packet: Packet) -> bytes:
    """The packet in memory."""
    out = io.BytesIO()
    make_packet(packet, out)
    return out.getvalue()


def _about(packet: Packet) -> dict[str, Any]:
    found, named = packet.review, packet.map
    source = found.log.source
    return {
        "id": packet.id,
        "made_by": f"witnessmark {version('witnessmark')}",
        "engine": {"serial": found.plan.serial, "build_sha256": found.plan.build_sha256},
        "plan": {"sha256": packet.plan_sha256, "phase": found.phase.id},
        "log": {"name": source.name, "sha256": source.sha256, "bytes": source.size},
        "verdict": found.verdict.answer.value,
        "map": {"name": named.name, "sha256": named.sha256, "crc32": named.crc32}
        if named else None,
    }  # fmt: skip


def _in_order(packet: Packet) -> tuple[Member, ...]:
    """The files as a tuner reads them. The pages list all of them, themselves included."""
    found = packet.review
    answer = answer_blank(
        found.plan, packet.plan_sha256, found.log.source.sha256, packet.id, packet.map
    )
    members = (
        Member("1-first-page.html", "The first page.", _nothing),
        Member("1-first-page.txt", "The same as plain text.", _nothing),
        bytes_member(ANSWER, "Your answer, to be filled in.", answer),
        *_verdict(packet),
        *(member for moment in moments(packet) for member in _moment(packet, moment)),
        *_tables(packet),
        Member("6-engine-and-plan.html", "Build and plan in short.", _nothing),
        bytes_member("6-plan.json", "The plan the log was judged by, frozen.", packet.frozen),
        *_received(packet),
    )
    view = packet_view(packet, members)
    pages = {
        "1-first-page.html": first_page(view), "1-first-page.txt": first_text(view),
        "6-engine-and-plan.html": engine_page(view),
    }  # fmt: skip
    return tuple(
        bytes_member(m.name, m.what, pages[m.name]) if m.name in pages else m for m in members
    )


def _nothing(out: IO[bytes]) -> None:
    raise AssertionError(out)  # listed on the page before it is written


def _verdict(packet: Packet) -> Iterator[Member]:
    found, prefer = packet.review, packet.prefer
    page, paper = verdict_html(found, prefer), verdict_pdf(found, prefer)
    data = json.dumps(verdict_json(found, prefer), indent=2) + "\n"
    yield bytes_member("2-verdict.html", "The verdict with its charts.", page)
    yield bytes_member("2-verdict.pdf", "The verdict on paper.", paper, packed=True)
    yield bytes_member("2-verdict.json", "The verdict as data, numbers in SI.", data)


def _moment(packet: Packet, moment: Moment) -> Iterator[Member]:
    log = packet.review.log
    part = window(log, moment.span)
    stem = f"3-moments/{moment.stem}"
    kind = "broken" if moment.broke else "not broken, nearest to a limit"
    what = f"Moment {moment.number} ({kind}), with 5 s before and after."
    inside = (log.time >= moment.span.start) & (log.time < moment.span.end)
    out = io.BytesIO()
    write_csv(out, log, packet.tuner, part, inside)
    yield bytes_member(f"{stem}.csv", what, out.getvalue())
    drawn = moment_chart(packet, moment)
    if drawn:
        yield bytes_member(f"{stem}.svg", f"Moment {moment.number} drawn.", drawn)


def _tables(packet: Packet) -> Iterator[Member]:
    log = packet.review.log
    for name, columns, units in (
        ("tuner", packet.tuner, "in your units"), ("si", packet.si, "in SI"),
    ):  # fmt: skip
        size = _CELL * len(log.time) * (2 + 2 * len(columns))
        stem, what = f"4-log/log-{name}", f"The cleaned log {units}"
        yield Member(f"{stem}.csv", f"{what}, as CSV.", _csv(packet, columns), size=size)
        yield Member(
            f"{stem}.parquet", f"{what}, as Parquet.", _parquet(packet, columns), True, size
        )
    rows = channel_csv(channel_rows(log, packet.si, packet.tuner))
    what = "Every column of the file: what it was taken for and why."
    yield bytes_member("5-channels.csv", what, rows)


def _csv(packet: Packet, columns: Sequence[Shown]) -> Writer:
    return lambda out: write_csv(out, packet.review.log, columns)


def _parquet(packet: Packet, columns: Sequence[Shown]) -> Writer:
    def write(out: IO[bytes]) -> None:
        held = io.BytesIO()
        frame(packet.review.log, columns).write_parquet(held, compression="snappy")
        out.write(held.getvalue())

    return write


def _received(packet: Packet) -> Iterator[Member]:
    original = packet.original
    if original is not None:
        name = safe_name(original.name, "log")
        sha256 = packet.review.log.source.sha256
        what = f"The log as it was received, not a byte changed (SHA-256 {sha256})."

        def copy(out: IO[bytes]) -> None:
            with original.open() as source:
                shutil.copyfileobj(source, out, 1 << 20)

        yield Member(f"7-original/{name}", what, copy, size=original.size)
    if packet.map_data is not None and packet.map is not None:
        name = safe_name(packet.map.name, "map")
        what = "The map in the engine's control unit."
        yield bytes_member(f"8-map/{name}", what, packet.map_data)
