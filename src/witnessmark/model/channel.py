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
