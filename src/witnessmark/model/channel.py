"""What a log can show: the channels we have names for, and what a column was taken to be."""

from dataclasses import dataclass
from enum import StrEnum

from witnessmark.units import Kind


class How(StrEnum):
    """How a column came to its channel and unit; the face prints it, never hides it."""

    NAMED = "name and unit"
    ASSUMED_UNIT = "name; unit inferred from its values"
    TOLD = "told by you"
    SET_ASIDE = "set aside"
    UNREAD = "known, left unread in a file this large"
    UNKNOWN = "not recognised"


class Sure(StrEnum):
    """How sure it is that a column is what it was taken for."""

    CERTAIN = "certain"
    LIKELY = "likely"
    ASKED = "unsure: asked"


@dataclass(frozen=True)
class Seen:
    """What a column in use holds, damaged readings among it. Low and high in SI."""

    low: float
    high: float
    count: int


@dataclass(frozen=True)
class Channel:
    """A quantity we have a name for, and what it may plausibly do. All numbers SI.

    `low`/`high`: outside, a reading cannot be true of a road or race engine.
    `rate`: change per second beyond which the quantity itself cannot have moved.
    """

    name: str
    kind: Kind
    title: str
    low: float
    high: float
    rate: float


@dataclass(frozen=True)
class Column:
    """One column of the file and what it was taken for."""

    name: str  # as written in the file
    unit: str  # as written in the file, "" if none
    channel: str | None  # our name, None if not used
    taken_unit: str  # the unit it was converted from, "" if not used
    how: How
    why: str  # the assumption, or why it was set aside
    shown: float  # share of the log's rows that carry a fresh reading [-]
    may_be: str = ""  # set aside: the channel it would be if the user said so
    sure: Sure | None = None  # None: it is no channel of ours, so there is nothing to be sure of
    reasons: tuple[str, ...] = ()  # in use: by what it was told, "Words: ...", "Unit: ..."
    seen: Seen | None = None  # None: not looked at
