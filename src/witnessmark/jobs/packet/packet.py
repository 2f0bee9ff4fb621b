"""What goes into a packet for the tuner, gathered; `report.packet` writes it down."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import IO

from witnessmark.checks.case import Case
from witnessmark.checks.terms import Terms
from witnessmark.errors import UserError
from witnessmark.jobs.packet.archive import FORMAT
from witnessmark.jobs.packet.extremes import Extreme, extremes
from witnessmark.jobs.packet.units import Shown, in_si, in_units
from witnessmark.jobs.review import Review
from witnessmark.model.build import BuildSheet
from witnessmark.model.finding import Answer
from witnessmark.model.tuner_answer import MapNamed
from witnessmark.units import Preferences

_ID = 16  # hex digits: told apart among any shop's packets, short enough to read out
_MOST_NOTE = 4000  # characters


@dataclass(frozen=True)
class Original:
    """The log file as it was received: its name, its size in bytes, and a way to open it."""

    name: str
    size: int
    open: Callable[[], IO[bytes]]


@dataclass(frozen=True)
class Packet:
    """Everything about one drive that its tuner needs to decide.

    `plan_sha256`, `frozen`: the plan as frozen, which is what the answer answers.
    `prefer`: the tuner's units. `map_data`: the map's bytes if they go along.
    `answer_to`: whom he answers and how; "" where only the build sheet can tell.
    """

    review: Review
    plan_sha256: str
    frozen: bytes
    prefer: Preferences
    original: Original | None = None
    map: MapNamed | None = None
    map_data: bytes | None = None
    note: str = ""
    answer_to: str = ""
    sheet: BuildSheet | None = None

    def __post_init__(self) -> None:
        """Refuse a build sheet that is not the plan's own, and a note nobody reads."""
        sheet, plan = self.sheet, self.review.plan
        if sheet is not None and sheet.sha256 != plan.build_sha256:
            raise UserError(
                f"build sheet {sheet.identity.serial}", "it is not the one the plan was made from",
                f"the build sheet of the plan (engine {plan.serial}) as it was then is wanted",
                "Give that one, or none",
            )  # fmt: skip
        if len(self.note) > _MOST_NOTE:
            raise UserError(
                "note", f"it has {len(self.note):,} characters",
                f"at most {_MOST_NOTE:,} are wanted", "Say it shorter",
            )  # fmt: skip

    @cached_property
    def id(self) -> str:
        """Name of this packet: the same for the same log, plan, reading, map and note."""
        found = self.review
        said = [
            FORMAT, found.log.source.sha256, self.plan_sha256, found.phase.id, self.note,
            self.answer_to, repr(self.map), repr(self.prefer),
            found.plan.band.basis if found.plan.band else "",
            [[c.name, c.channel, c.taken_unit] for c in found.log.columns],
            [[f.check, f.answer] for f in found.verdict.findings],
        ]  # fmt: skip
        text = json.dumps(said, ensure_ascii=False)
        return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:_ID]

    @cached_property
    def si(self) -> tuple[Shown, ...]:
        """The log's channels in SI."""
        return in_si(self.review.log)

    @cached_property
    def tuner(self) -> tuple[Shown, ...]:
        """The log's channels in the tuner's units."""
        return in_units(self.review.log, self.prefer)

    @cached_property
    def nearest(self) -> tuple[Extreme, ...]:
        """Where the log comes nearest to its limits; none where a limit was broken."""
        found = self.review
        if any(f.answer is Answer.BROKEN and f.events for f in found.verdict.findings):
            return ()
        plan = found.plan
        return extremes(Case(found.log, Terms(found.phase, plan.limits, plan.band, plan.no_band)))
