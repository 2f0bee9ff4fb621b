"""What a recording of a first heat shows: cranking, fires, holds, sweeps, stops; and each step."""

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from witnessmark.model.log import Span
from witnessmark.model.plan import Phase, Step
from witnessmark.model.said import Said


class Ended(StrEnum):
    """How a stretch of running came to its end, as far as a log tells."""

    STALL = "stalled"  # cranked again at once: nobody shuts off for so short
    LIMIT = "stopped at a limit"  # a limit was broken just before
    BY_HAND = "shut off"
    LOG_ENDS = "the recording ends"
    UNSEEN = "not recorded"  # a pause in the recording


class Done(StrEnum):
    """What a log shows of a step of the plan."""

    DONE = "done"
    PARTLY = "partly done"
    NOT_DONE = "not done"
    NOT_SHOWN = "not shown"


@dataclass(frozen=True)
class Burst:
    """A stretch of cranking. `pressure`: highest oil pressure in it, Pa gauge; None: not shown."""

    span: Span
    fired: bool  # whether the engine ran on its own straight after it
    pressure: float | None


@dataclass(frozen=True)
class Run:
    """A stretch of running on its own. `pressure_after`: seconds until oil pressure came."""

    span: Span
    start_shown: bool  # whether the log shows it begin from standing or cranking
    pressure_after: float | None  # None: not shown, or it never came
    ended: Ended


@dataclass(frozen=True)
class Hold:
    """Time near one planned speed, added up over interruptions. Speeds in rev/s."""

    low: float
    high: float
    spans: tuple[Span, ...]
    seconds: float


@dataclass(frozen=True)
class Stay:
    """A stay at one speed, rev/s. `slope`: how much of a step it climbs while it lasts. [-]"""

    span: Span
    speed: float
    seconds: float  # recorded at this speed; a stop or a blip inside counts for nothing
    slope: float = 0.0


@dataclass(frozen=True)
class Pass:
    """Once up or once down, from stay to stay. `whole`: from one end to the other."""

    stays: tuple[Stay, ...]
    rising: bool
    whole: bool

    @property
    def heights(self) -> tuple[float, ...]:
        """Height of each step, rev/s."""
        return tuple(abs(b.speed - a.speed) for a, b in pairwise(self.stays))


@dataclass(frozen=True)
class Sweep:
    """Passes that follow one another, sharing the stays at which they turn."""

    passes: tuple[Pass, ...]
    stays: tuple[Stay, ...]
    spans: tuple[Span, ...]  # cut where the engine stopped or did something else
    seconds: float
    ramp: bool  # one slow climb rather than steps


@dataclass(frozen=True)
class Interruption:
    """A stop in the middle of the work. `back`: seconds from running again to work again."""

    span: Span
    how: Ended
    what: str  # the limit that was broken, "" if none
    back: float | None


@dataclass(frozen=True)
class Found:
    """All that was found in a recording, in the order of time.

    `key_on`: the standing engine before anything turned; None where the log begins later.
    `holds`, `sweeps`: by the place of their step in the phase.
    """

    key_on: Span | None
    cranking_shown: bool  # whether this log sends speeds as low as cranking
    bursts: tuple[Burst, ...]
    runs: tuple[Run, ...]
    idles: tuple[Span, ...]
    holds: dict[int, Hold]
    sweeps: dict[int, tuple[Sweep, ...]]
    too_long: bool  # ran longer than any first heat: sweeps were not looked for


@dataclass(frozen=True)
class StepFound:
    """One step of the plan and what the recording shows of it."""

    phase: Phase
    step: Step
    done: Done
    said: Said
    do_next: Said | None
    spans: tuple[Span, ...]
