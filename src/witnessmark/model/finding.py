"""What a check found, in four answers, and the verdict they add up to."""

from dataclasses import dataclass
from enum import StrEnum

from witnessmark.model.authority import Authority
from witnessmark.model.log import Source, Span
from witnessmark.model.said import Said


class Answer(StrEnum):
    """The four answers. There is no "OK": a limit was kept, or it was not, or it is not known."""

    KEPT = "kept"
    BROKEN = "broken"
    TOO_LITTLE = "too little shown"
    NOT_SHOWN = "not shown"


@dataclass(frozen=True)
class Event:
    """One moment worth looking at: when, how far, how long.

    `broke`: under a broken line, whether this moment broke the limit or is listed beside it.
    """

    span: Span
    said: Said
    broke: bool = True


@dataclass(frozen=True)
class Tabled:
    """A small table under a line of the verdict; each row as long as the heads."""

    heads: tuple[str, ...]
    rows: tuple[tuple[Said, ...], ...]


@dataclass(frozen=True)
class Finding:
    """One line of a verdict.

    `required`: the phase cannot be signed off without it; else it is reported and no more.
    `authority`: who set the limit, None where there is no limit (a missing channel).
    `asks`: the limit was kept, but what the log shows is a question for somebody all the same.
    """

    check: str  # stable name, "speed.ceiling"
    title: str  # "Engine speed ceiling"
    answer: Answer
    said: Said
    required: bool = True
    authority: Authority | None = None
    events: tuple[Event, ...] = ()
    do_next: Said | None = None  # what to drive, fit or fix
    table: Tabled | None = None
    asks: bool = False


@dataclass(frozen=True)
class Verdict:
    """A whole review of one log against one phase of a plan."""

    phase: str
    findings: tuple[Finding, ...]
    source: Source

    @property
    def answer(self) -> Answer:
        """The verdict in one word: the gravest of the lines the phase requires.

        Broken outweighs all, required or not. Then a required channel that is missing, then
        too little shown. A line that is not required and not shown does not change the
        answer, but is always printed beside it.
        """
        if any(f.answer is Answer.BROKEN for f in self.findings):
            return Answer.BROKEN
        required = {f.answer for f in self.findings if f.required}
        for grave in (Answer.NOT_SHOWN, Answer.TOO_LITTLE):
            if grave in required:
                return grave
        return Answer.KEPT if Answer.KEPT in required else Answer.NOT_SHOWN
