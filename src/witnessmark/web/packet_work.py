"""The jobs behind the tuner's pages, called with what a form sent: never with a path."""

import io
from collections.abc import Mapping
from dataclasses import dataclass

from witnessmark.errors import UserError
from witnessmark.jobs.packet.map_file import map_of
from witnessmark.jobs.packet.packet import Original, Packet
from witnessmark.jobs.packet.received import read_packet
from witnessmark.jobs.packet.units import read_units
from witnessmark.jobs.tuner_answer import AtHand, answer_of_form, parse_answer, take_answer
from witnessmark.model.answer_file import FORMAT
from witnessmark.model.build import parse_build
from witnessmark.model.tuner_answer import MapNamed
from witnessmark.report.packet.make import packet_bytes
from witnessmark.web.store import Drive, Plan
from witnessmark.web.work import kept_plan, one_at_a_time

_FORM = "Answer"


@dataclass(frozen=True)
class Asked:
    """What the form for a packet says; `map_data` b"" if no file was sent."""

    map: str
    map_data: bytes
    include_map: bool
    note: str
    answer_to: str
    units: str
    without_original: bool


@dataclass(frozen=True)
class Sent:
    """What the form for an answer brought: a file's text or the fields, and what it is held to."""

    text: str
    name: str
    fields: Mapping[str, object]
    new_map: MapNamed | None
    packet: bytes
    packet_name: str


def packed(drive: Drive, asked: Asked) -> bytes:
    """The packet of a judged drive. Raises UserError for what cannot be packed as asked."""
    assert drive.review is not None
    if asked.include_map and not asked.map_data:
        raise UserError(
            "Map file", "the map is to go along, but no file was chosen", "the file is wanted",
            "Choose the file, or take the tick away",
        )  # fmt: skip
    named = map_of(asked.map_data, asked.map) if asked.map_data else None
    if named is None and asked.map:
        named = MapNamed(asked.map)
    plan, data = drive.plan, drive.data
    packet = Packet(
        drive.review, plan.sha256, plan.frozen,
        read_units(asked.units, plan.plan.prefer, "Units"),
        None if asked.without_original
        else Original(drive.name, len(data), lambda: io.BytesIO(data)),
        named, asked.map_data if asked.include_map else None, asked.note, asked.answer_to,
        parse_build(plan.sheet, "Build sheet") if plan.sheet else None,
    )  # fmt: skip
    with one_at_a_time():
        return packet_bytes(packet)


def answered(plan: Plan, sent: Sent) -> Plan:
    """The plan with an answer taken in. Raises UserError with everything that is wrong with it."""
    if sent.text:
        answer = parse_answer(sent.text, sent.name)
    else:
        about = {
            "format": FORMAT, "serial": plan.plan.serial, "plan_sha256": plan.sha256,
        }  # fmt: skip
        answer = answer_of_form({**about, **sent.fields}, _FORM)
    packet = read_packet(io.BytesIO(sent.packet), sent.packet_name) if sent.packet else None
    at_hand = AtHand(
        packet.log_sha256 if packet else "", packet.id if packet else "",
        packet.map if packet else None, sent.new_map,
        parse_build(plan.sheet, "Build sheet") if plan.sheet else None,
    )  # fmt: skip
    taken = take_answer(plan.plan, plan.sha256, answer, at_hand)
    return kept_plan(
        taken, sheet=plan.sheet, recipe=plan.recipe, dated=plan.dated, moved=plan.moved
    )
