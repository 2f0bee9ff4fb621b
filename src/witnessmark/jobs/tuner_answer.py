"""The tuner's answer read back: from a file or a form, checked, and taken into the plan.

python -m witnessmark.jobs.tuner_answer docs/reference  remakes the JSON Schema of an answer.
"""

import hashlib
import json
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from witnessmark.errors import UserError, UserErrors
from witnessmark.jobs.text_file import read_text
from witnessmark.jobs.tuner_ceilings import checked, with_ceilings
from witnessmark.model.answer_file import AnswerFile
from witnessmark.model.build import BuildSheet
from witnessmark.model.faults import read_as
from witnessmark.model.plan import RunPlan
from witnessmark.model.tuner_answer import Decision, MapNamed, TunerAnswer

SCHEMA = "tuner-answer.schema.json"
_WANTED = "a tuner's answer (answer.toml)"
_SHOWN = 12  # hex digits of a hash in a sentence


@dataclass(frozen=True)
class Received:
    """An answer as it came: what it says, its hash, and what messages call it."""

    file: AnswerFile
    sha256: str
    where: str


@dataclass(frozen=True)
class AtHand:
    """What else is here to hold an answer against; what is None or "" cannot be checked.

    `log_sha256`: of the log it should be about. `sent_map`: the map the packet named.
    `new_map`: the file the tuner sent with his answer. `sheet`: the engine's build sheet.
    """

    log_sha256: str = ""
    packet: str = ""
    sent_map: MapNamed | None = None
    new_map: MapNamed | None = None
    sheet: BuildSheet | None = None


def answer_schema() -> dict[str, Any]:
    """The JSON Schema of an answer."""
    return AnswerFile.model_json_schema()


def schema_text() -> str:
    """The schema as a file."""
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **answer_schema()}
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def load_answer(path: Path) -> Received:
    """The answer in a file. Raises UserError as `parse_answer` does, or if it cannot be read."""
    return parse_answer(read_text(path, _WANTED), path.name)


def parse_answer(text: str, where: str) -> Received:
    """The answer in a text. Raises UserError if it is no TOML, UserErrors with all its faults."""
    try:
        data = tomllib.loads(text.removeprefix("\ufeff").replace("\r\n", "\n"))
    except (ValueError, RecursionError) as error:
        raise UserError(
            where, f"it cannot be read: {str(error)[:200]}", f"{_WANTED} is wanted",
            "Put that place right; texts stand in straight quotes \"like these\"",
        ) from None  # fmt: skip
    return Received(read_as(AnswerFile, data, where), _hash(text), where)


def answer_of_form(data: Mapping[str, Any], where: str) -> Received:
    """The answer in a form's fields, named as in the file. Raises UserErrors with all faults."""
    file = read_as(AnswerFile, data, where)
    return Received(file, _hash(file.model_dump_json()), where)


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def take_answer(
    plan: RunPlan, plan_sha256: str, answer: Received, at_hand: AtHand | None = None
) -> RunPlan:
    """The plan with an answer taken in.

    Ceilings are put in place under the tuner's name, what they were is kept; a stop closes the
    plan; "repeat the log" changes nothing but is written down. Raises UserErrors naming every
    way in which the answer is not one to this plan, or goes beyond what the engine was built for.
    """
    known = at_hand or AtHand()
    faults = [*_not_for(plan, plan_sha256, answer), *_of_another(answer, known)]
    ceilings, wrong = checked(plan, answer.file, known.sheet, answer.where)
    if faults or wrong:
        raise UserErrors([*faults, *wrong])
    said = answer.file
    named = MapNamed(said.map.name, said.map.sha256, said.map.crc32) if said.map.name else None
    taken = TunerAnswer(
        said.decision, said.words, said.signed_by, said.signed_on, named, ceilings, plan_sha256,
        said.log_sha256, said.packet, answer.sha256,
    )  # fmt: skip
    changed = with_ceilings(plan, taken, known.sheet)
    return replace(changed, answers=(*plan.answers, taken))


def _not_for(plan: RunPlan, plan_sha256: str, answer: Received) -> Iterator[UserError]:
    said, where = answer.file, answer.where
    if any(before.sha256 == answer.sha256 for before in plan.answers):
        yield UserError(
            where, "this answer is in the plan already", "an answer is taken once",
            "Nothing is left to do",
        )  # fmt: skip
        return
    if said.serial != plan.serial:
        yield UserError(
            f"{where}, serial", f"it is an answer for engine {said.serial}",
            f"this plan is of engine {plan.serial}", "Take the plan of that engine",
        )  # fmt: skip
    if said.plan_sha256 != plan_sha256:
        older = any(before.plan_sha256 == said.plan_sha256 for before in plan.answers)
        why = ", which an earlier answer has replaced since" if older else ""
        yield UserError(
            f"{where}, plan_sha256", f"it answers plan {said.plan_sha256[:_SHOWN]}{why}",
            f"this is plan {plan_sha256[:_SHOWN]}", "Take the plan the packet was made with",
        )  # fmt: skip


def _of_another(answer: Received, known: AtHand) -> Iterator[UserError]:
    said, where = answer.file, answer.where
    if known.log_sha256 and said.log_sha256 != known.log_sha256:
        told = said.log_sha256[:_SHOWN] or "no log at all"
        yield UserError(
            f"{where}, log_sha256", f"it answers log {told}",
            f"the log given here is {known.log_sha256[:_SHOWN]}",
            "Give the log or packet it answers, or ask the tuner which he looked at",
        )  # fmt: skip
    if known.packet and said.packet and said.packet != known.packet:
        yield UserError(
            f"{where}, packet", f"it answers packet {said.packet}",
            f"the packet given here is {known.packet}", "Give the packet it answers",
        )  # fmt: skip
    yield from _wrong_map(said, known, where)


def _wrong_map(said: AnswerFile, known: AtHand, where: str) -> Iterator[UserError]:
    named = MapNamed(said.map.name, said.map.sha256, said.map.crc32)
    if known.new_map is not None and not named.proves(known.new_map):
        yield UserError(
            f"{where}, map", f"'{named.name}' is not the map file given here",
            f"that file has SHA-256 {known.new_map.sha256} and CRC32 {known.new_map.crc32}",
            "Do not load it; ask the tuner for the file he means",
        )  # fmt: skip
    if known.sent_map is None:
        return
    if said.decision is Decision.CONTINUE and named.differs(known.sent_map):
        yield UserError(
            f"{where}, map", f"it says 'continue' with another map ('{named.name}')",
            f"the packet was about '{known.sent_map.name}'",
            "If the map is to change, the decision is 'new map'",
        )  # fmt: skip
    if said.decision is Decision.NEW_MAP and named.proves(known.sent_map):
        yield UserError(
            f"{where}, map", "it says 'new map' but names the map the packet was about",
            "a new map has another checksum", "Name the new file, or decide 'continue'",
        )  # fmt: skip


if __name__ == "__main__":
    (Path(sys.argv[1]) / SCHEMA).write_text(schema_text(), encoding="utf-8")
