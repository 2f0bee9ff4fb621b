"""Frames of a bus as arrays."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from witnessmark.model.log import Floats, Mask, Note

Bytes = NDArray[np.uint8]
Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Frames:
    """Frames in the order of time.

    `time`: [s], shape (n,). `ident`: 11 or 29 bits. `extended`: has 29. `bus`: which of the
    recorded buses. `data`: bytes, zeros behind `length`, shape (n, w).
    `started`: wall clock at zero of the time.
    """

    time: Floats
    ident: Whole
    extended: Mask
    bus: Whole
    data: Bytes
    length: Whole
    notes: Sequence[Note] = field(default_factory=tuple)
    started: datetime | None = None

    def __len__(self) -> int:
        """How many."""
        return len(self.time)

    def at(self, rows: Whole) -> "Frames":
        """Some of them."""
        return Frames(
            self.time[rows], self.ident[rows], self.extended[rows], self.bus[rows],
            self.data[rows], self.length[rows], self.notes, self.started,
        )  # fmt: skip


@dataclass(frozen=True)
class Sender:
    """All frames of one identifier on one bus."""

    ident: int
    extended: bool
    bus: int
    frames: Frames


def senders(frames: Frames) -> list[Sender]:
    """The frames parted by bus and identifier, in the order of these."""
    keys = frames.bus << 30 | frames.extended.astype(np.int64) << 29 | frames.ident
    order = np.argsort(keys, kind="stable")
    begins = np.flatnonzero(np.diff(keys[order], prepend=-1))
    parts = np.split(order, begins[1:]) if len(order) else []
    return [
        Sender(
            int(frames.ident[rows[0]]), bool(frames.extended[rows[0]]), int(frames.bus[rows[0]]),
            frames.at(rows),
        )
        for rows in parts
    ]  # fmt: skip
