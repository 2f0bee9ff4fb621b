"""What the sensors of a log can be trusted with, and which questions the log can answer."""

from dataclasses import dataclass
from enum import StrEnum

from witnessmark.model.finding import Answer
from witnessmark.model.log import Span
from witnessmark.model.said import Said
from witnessmark.units import Kind


class Flaw(StrEnum):
    """What can be wrong with a channel."""

    STUCK = "stuck"
    CLIPPED = "clipped"
    DROPPED_OUT = "dropped out"
    REPEATED = "old readings repeated"


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a channel, where, and in words. `level`: where it stood. [SI]"""

    flaw: Flaw
    spans: tuple[Span, ...]
    said: Said
    level: float
    end: str = ""  # "high" or "low", where a clipped channel ends


@dataclass(frozen=True)
class Lag:
    """How far a channel runs behind the one it follows; negative: ahead of it. [s]

    `likeness` is the correlation at that delay [-]; `within` half the time between two readings
    of the slower one: nearer than this cannot be told. [s]
    """

    behind: str
    seconds: float
    likeness: float
    within: float


@dataclass(frozen=True)
class Signal:
    """One channel of a log as an instrument.

    `interval` : usual time between two readings, `longest` : the longest, both pauses of the
                 whole recording left out. [s]
    `polled` : read in turn with others, not at every sample of the log.
    `step` : smallest step between two values, None where there is none to be seen. [SI]
    `lag` : None where the log does not tell.
    """

    channel: str
    kind: Kind
    readings: int
    interval: float
    longest: float
    polled: bool
    step: float | None
    faults: tuple[Fault, ...] = ()
    lag: Lag | None = None

    @property
    def rate(self) -> float:
        """Readings a second; 0 with fewer than two. [1/s]"""
        return 1 / self.interval if self.interval > 0 else 0.0

    def fault(self, flaw: Flaw, end: str = "") -> Fault | None:
        """Its fault of this sort (and end), if it has one."""
        fits = (f for f in self.faults if f.flaw is flaw and end in ("", f.end))
        return next(fits, None)


class Shown(StrEnum):
    """Whether a log can answer a question."""

    YES = "yes"
    PARTLY = "partly"
    NO = "no"


ANSWERS = {Shown.YES: Answer.KEPT, Shown.PARTLY: Answer.TOO_LITTLE, Shown.NO: Answer.NOT_SHOWN}


@dataclass(frozen=True)
class Answered:
    """One question, and whether this log can answer it.

    `chance` : share of the briefest events the log is sure to catch with one reading. None
               where the question is about no event, or nothing was read. [-]
    `checks` : the lines of a verdict that stand on this answer.
    `bars` : the channels are too slow or faulty, so that none of these lines may say "kept".
    `faulty` : a sensor is at fault, not the logger's pace.
    `lacks` : what the log would need to have, in words; "" if it has it.
    `coarse` : a step of the channel too wide for the limit judged by it, else 0. [SI]
    """

    id: str
    asks: str
    shown: Shown
    said: Said
    channels: tuple[str, ...]
    chance: float | None
    checks: tuple[str, ...]
    bars: bool = False
    faulty: bool = False
    lacks: str = ""
    coarse: float = 0.0
