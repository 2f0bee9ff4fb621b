"""What frames mean, whoever says so: messages made of signals."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Bits:
    """Where a number stands in a frame.

    `start`, `length`: in bits, counted as a DBC counts: of a big-endian number the start is its
    highest bit, of any other its lowest.
    """

    start: int
    length: int
    big_endian: bool = False
    signed: bool = False
    floating: bool = False


@dataclass(frozen=True)
class Chosen:
    """A signal stands in a frame only where these bits hold one of these numbers."""

    bits: Bits
    values: tuple[tuple[int, int], ...]  # ranges, both ends included


@dataclass(frozen=True)
class Signal:
    """One signal of a message: physical = raw * factor + offset, in `unit`.

    `labels`: words for raw numbers. `when`: all of these must hold.
    """

    name: str
    bits: Bits
    factor: float = 1.0
    offset: float = 0.0
    unit: str = ""
    labels: Mapping[int, str] = field(default_factory=dict)
    when: tuple[Chosen, ...] = ()


@dataclass(frozen=True)
class Message:
    """What the frames of one identifier, or of one J1939 parameter group, mean.

    `ident`, `extended`: the identifier, or else `pgn`. `origin`: who says so.
    """

    name: str
    signals: Sequence[Signal]
    origin: str
    ident: int = 0
    extended: bool = False
    pgn: int | None = None
