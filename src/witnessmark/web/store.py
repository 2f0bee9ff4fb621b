"""What people are working on: kept in memory, bounded, under names nobody can guess."""

import secrets
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date
from threading import Lock
from typing import TypeVar

from witnessmark.jobs.first_heat import FirstHeat
from witnessmark.jobs.review import Review
from witnessmark.logs.recordings.dbc import Dbc
from witnessmark.model.calibration import Calibration
from witnessmark.model.drift import Drift
from witnessmark.model.plan import RunPlan
from witnessmark.records.shop import Shop

MOST_THINGS = 200  # a month of engines for a busy shop, each with several drives
MOST_BYTES = 1_000_000_000  # ten of the largest logs we take, as read; a shop's old PC has 8 GB
_ID_BYTES = 16  # 128 bits: nobody finds another's plan by trying


@dataclass(frozen=True)
class Plan:
    """A plan someone made or sent.

    `sheet`, `recipe`: what it was made from, "" if it was sent. `dated`: when the sheet was
    signed. `moved`: what has changed in the book since the plan was frozen.
    """

    plan: RunPlan
    frozen: bytes  # the frozen plan as JSON text
    sha256: str
    sheet: str = ""
    recipe: str = ""
    dated: date | None = None
    moved: str = ""

    @property
    def size(self) -> int:
        """Bytes it takes, near enough; the objects are a few times their text."""
        return 5 * len(self.frozen) + len(self.sheet)


@dataclass(frozen=True)
class Drive:
    """A log someone sent, and the verdict on it unless it could not be read."""

    plan_id: str
    plan: Plan  # held with the drive, so that it can be judged again when the plan is let go
    phase: str
    name: str  # of the file, as shown
    data: bytes
    columns: str  # what the person said about columns, as typed
    calibration: str = ""  # text of what its own logs taught, "" for the plan's own band
    calibration_name: str = ""
    buses: tuple[Dbc, ...] = ()  # what the frames of a bus log mean
    review: Review | None = None
    page: str = ""  # the verdict as shown; drawing it again would take a second each time

    @property
    def size(self) -> int:
        """Bytes it takes. A log judged twice counts twice, which errs on the safe side."""
        sent = len(self.data) + len(self.calibration) + sum(len(dbc.text) for dbc in self.buses)
        if self.review is None:
            return sent
        log = self.review.log
        arrays = (log.time, log.held, *log.channels.values())
        return sent + len(self.page) + sum(array.nbytes for array in arrays)


@dataclass(frozen=True)
class Learning:
    """A log someone sent to learn an engine's oil pressure from, and what it taught if it could."""

    plan_id: str
    plan: Plan
    name: str  # of the file, as shown
    data: bytes
    columns: str  # what the person said about columns, as typed
    held_out: str  # share kept back, as typed
    learned: Calibration | None = None
    page: str = ""

    @property
    def size(self) -> int:
        """Bytes it takes; a fit is small beside its log and its page."""
        return len(self.data) + 2 * len(self.page)


@dataclass(frozen=True)
class Later:
    """One of the logs to compare, and what is said of its oil, as typed."""

    name: str  # of the file, as shown
    data: bytes
    new_oil: bool = False
    grade: str = ""
    fuel: str = ""


@dataclass(frozen=True)
class Comparison:
    """Logs someone sent to see what changed, and what did unless they could not be read."""

    plan_id: str
    plan: Plan
    logs: tuple[Later, ...]  # oldest first
    columns: str  # what the person said about columns, as typed
    calibration: str = ""  # text of the one they are held against, "" for the first log
    calibration_name: str = ""
    found: Drift | None = None
    page: str = ""

    @property
    def size(self) -> int:
        """Bytes it takes; what was found is small beside its logs and its page."""
        texts = len(self.calibration) + 2 * len(self.page)
        return texts + sum(len(log.data) for log in self.logs)


@dataclass(frozen=True)
class Looked:
    """A log someone sent to see what its columns are, and what they are unless it is unreadable."""

    name: str  # of the file, as shown
    data: bytes
    columns: str  # what the person said about columns, as typed
    fuel: str = ""  # what is in the tank, as chosen
    dbc: bytes = b""
    dbc_name: str = ""
    page: str = ""
    found: bytes = b""  # the same as JSON text

    @property
    def size(self) -> int:
        """Bytes it takes."""
        return len(self.data) + len(self.dbc) + 2 * len(self.page) + len(self.found)


@dataclass(frozen=True)
class Heat:
    """A recording of a first heat someone sent, and what was found in it if it could be read."""

    drive: Drive  # what was sent; judged here by every phase up to the first heat
    found: FirstHeat | None = None
    page: str = ""

    @property
    def size(self) -> int:
        """Bytes it takes."""
        if self.found is None:
            return self.drive.size
        log = self.found.review.log
        arrays = (log.time, log.held, *log.channels.values())
        return self.drive.size + 2 * len(self.page) + sum(array.nbytes for array in arrays)


@dataclass(frozen=True)
class Several:
    """The table of several logs judged at once; each log is kept beside it as a Drive."""

    page: str

    @property
    def size(self) -> int:
        """Bytes it takes."""
        return 2 * len(self.page)


Kept = Plan | Drive | Learning | Comparison | Looked | Heat | Several
Thing = TypeVar("Thing", Plan, Drive, Learning, Comparison, Looked, Heat, Several)


@dataclass(frozen=True)
class Room:
    """How much is kept before what was not looked at for longest is let go."""

    things: int = MOST_THINGS
    size: int = MOST_BYTES  # bytes


def new_name() -> str:
    """A name nobody has and nobody can guess."""
    return secrets.token_urlsafe(_ID_BYTES)


class Store:
    """Plans and drives by name. Safe to use from several threads."""

    def __init__(self, room: Room | None = None, shop: Shop | None = None) -> None:
        """Start empty. `shop`: the folder in which drives are kept beyond this program's life."""
        self.shop = shop
        self._room = room or Room()
        self._kept: OrderedDict[str, Kept] = OrderedDict()
        self._size = 0
        self._lock = Lock()

    def keep(self, thing: Kept, name: str | None = None) -> str:
        """Keep it and return its name, a new one if none is given.

        The oldest make room, never this one.
        """
        name = name or new_name()
        with self._lock:
            self._kept[name] = thing
            self._size += thing.size
            while len(self._kept) > 1 and self._full():
                _, gone = self._kept.popitem(last=False)
                self._size -= gone.size
        return name

    def find(self, name: str, kind: type[Thing]) -> Thing | None:
        """What is kept under a name, None if it is gone or something else."""
        with self._lock:
            thing = self._kept.get(name)
            if not isinstance(thing, kind):
                return None
            self._kept.move_to_end(name)
            return thing

    def _full(self) -> bool:
        return len(self._kept) > self._room.things or self._size > self._room.size
