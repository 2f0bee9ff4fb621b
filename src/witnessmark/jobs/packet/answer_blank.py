"""The answer a tuner fills in: plain text, nearly all of it there, a word beside each line."""

from collections.abc import Iterable

from witnessmark.model.answer_file import CEILINGS, FORMAT, Ceilings
from witnessmark.model.plan import RunPlan
from witnessmark.model.tuner_answer import MapNamed
from witnessmark.units import show

_LETTERS = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"}
_HEAD = """\
# The tuner's answer for engine {serial}.
# Fill in what stands between the quotes, save it, send it back. A line that begins with # says
# nothing. Texts stay in straight quotes "like these".

format = "{format}"
packet = {packet}
serial = {quoted}

# Which plan and which log this answers. Leave these two as they are.
plan_sha256 = "{plan}"
log_sha256 = "{log}"

# One of:  continue         the engine goes on, same map
#          new map          the engine goes on with the map named below
#          repeat the log   nothing changes, the drive is logged again
#          stop             the engine is not started again until you say so
decision = ""

# What you want to say. Needed for "repeat the log" and "stop": the technician must know why.
words = ""

# Your name and the day, as 2026-11-05. Your ceilings will stand in the plan under this name.
signed_by = ""
signed_on = ""

# The map the engine goes on with: name and one checksum of the file. Needed for "continue" and
# "new map". {map_said}
[map]
name = {map_name}
sha256 = "{sha256}"
crc32 = "{crc32}"
"""
_CEILINGS = """
# New ceilings, by phase. Take the # away from a heading and a line to change it; what is left
# stays as the plan has it. Write number and unit. Nothing may go over the engine's redline.
"""


def answer_blank(
    plan: RunPlan, plan_sha256: str, log_sha256: str = "", packet: str = "",
    named: MapNamed | None = None,
) -> str:  # fmt: skip
    """The text of answer.toml, filled as far as it is known. Numbers in the plan's units."""
    said = (
        "It is filled with the map in this packet."
        if named else "The packet came without one: fill it in."
    )  # fmt: skip
    head = _HEAD.format(
        serial="".join(c if c.isprintable() else "?" for c in plan.serial), format=FORMAT,
        packet=_quoted(packet), quoted=_quoted(plan.serial), plan=plan_sha256, log=log_sha256,
        map_said=said, map_name=_quoted(named.name if named else ""),
        sha256=named.sha256 if named else "", crc32=named.crc32 if named else "",
    )  # fmt: skip
    return head + _CEILINGS + "\n".join(_phases(plan))


def _phases(plan: RunPlan) -> Iterable[str]:
    for phase in (p for p in plan.phases if p.ceilings):
        yield f"\n#[ceilings.{phase.id}]"
        for name in CEILINGS:
            limit = phase.ceilings.get(name)
            example = Ceilings.model_fields[name].examples or [""]
            now = f"now {show(limit.value, plan.prefer)}" if limit else "no ceiling now"
            yield f'#{name} = ""   # {now}; for example "{example[0]}"'
    yield ""


def _quoted(text: str) -> str:
    """A text as TOML takes it; what cannot be printed becomes a question mark."""
    kept = (_LETTERS.get(c, c if c.isprintable() else "?") for c in text)
    return f'"{"".join(kept)}"'
