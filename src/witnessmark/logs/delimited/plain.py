"""A large log of plain numbers, block by block: no more of it is in memory than what is used."""

from collections.abc import Collection, Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import polars as pl
from polars.exceptions import PolarsError

from witnessmark.logs.delimited.cells import is_blank
from witnessmark.logs.delimited.layout import Layout
from witnessmark.logs.delimited.text import Buffer, Raw, let_go
from witnessmark.logs.table import Table
from witnessmark.model.log import Floats
from witnessmark.units import Scale

_LINES = 12 << 20  # bytes read in one go: enough for both cores, little beside what is kept
_BLOCK = 1 << 20  # bytes looked at in one go, to stay in the processor's cache
_PIECE = 1 << 17  # bytes counted in one go
_ROOM = 1.1  # rows there is room for over those foretold by the first block

Read = tuple[int, dict[str, pl.Series]]  # rows, and the columns by name


class Uneven:
    """The rows have not all the same cells: none of the quick ways will do."""


@dataclass(frozen=True)
class Wanted:
    """What to read. `time`: columns of stamps, as text or as numbers.

    `used`: the other columns by name, with the way to SI where it is known already: on the
    way in it costs nothing.
    """

    layout: Layout
    sample: Table
    decimal: str
    stamps: Collection[str]
    times: Collection[str]
    used: Mapping[str, Scale | None]

    @cached_property
    def blanks(self) -> list[str]:
        """The words for "nothing" met in the first rows."""
        return blanks(self.sample)

    def reads(self, name: str) -> bool:
        """Whether a column is needed at all."""
        return name in self.used or name in self.stamps or name in self.times

    def text(self, name: str, plain: bool) -> bool:
        """Whether a column comes as text; only times must be numbers when cells are not plain."""
        return name not in self.times and not (plain and name in self.used)


def read_plain(raw: Raw, begin: int, want: Wanted) -> Read | Uneven | None:
    """The columns wanted: numbers, in SI where the unit is known, and stamps as text.

    None when a cell that should be a number is none. `begin`: where the rows start [bytes].
    """
    columns = _Columns(want)
    # One block is put away while the next is parsed.
    with ThreadPoolExecutor(1) as beside:
        even: Future[bool] | None = None
        for start, stop in _line_blocks(raw.data, begin):
            block = raw.data[start:stop]
            let_go(raw.data, start, stop)
            frame = _parsed(block, want)
            if even is not None and not even.result():
                return Uneven()
            if frame is None:
                return None
            blocks = (len(raw.data) - begin) / (stop - start)
            even = beside.submit(columns.add, block, frame, blocks)
        if even is not None and not even.result():
            return Uneven()
    return columns.rows, columns.whole()


class _Columns:
    """Columns that are filled from the top, and grow where there is no room left."""

    def __init__(self, want: Wanted) -> None:
        self.rows = 0
        self._want = want
        self._numbers: dict[str, Floats] = {}
        self._texts: dict[str, list[pl.Series]] = {}

    def add(self, block: bytes, frame: pl.DataFrame, blocks: float) -> bool:
        """Take the rows of one block, of about so many; False if they are uneven."""
        if not _even(block, self._want.layout, frame):
            return False
        stop = self.rows + frame.height
        for column in frame.get_columns():
            if not self._want.reads(column.name):
                continue
            if column.dtype == pl.String:
                self._texts.setdefault(column.name, []).append(column)
                continue
            room = self._numbers.get(column.name)
            if room is None or len(room) < stop:
                room = self._grown(room, max(int(_ROOM * blocks * frame.height), stop))
                self._numbers[column.name] = room
            _in_si(column.to_numpy(), self._want.used.get(column.name), room[self.rows : stop])
        self.rows = stop
        return True

    def _grown(self, old: Floats | None, size: int) -> Floats:
        room = np.empty(size)  # what is not written to takes no memory
        if old is not None:
            room[: self.rows] = old[: self.rows]
        return room

    def whole(self) -> dict[str, pl.Series]:
        """The columns by name; nothing is kept here."""
        found = {name: pl.concat(parts) for name, parts in self._texts.items()}
        while self._numbers:
            name, room = self._numbers.popitem()
            found[name] = pl.Series(name, room[: self.rows])
            del room
        return found


def _in_si(values: Floats, by: Scale | None, into: Floats) -> None:
    if by is None or by.factor == 1.0:
        into[:] = values
    else:
        with np.errstate(over="ignore"):  # a damaged cell of 300 figures
            np.multiply(values, by.factor, out=into)
    if by is not None and by.offset:
        into += by.offset


def _line_blocks(data: Buffer, begin: int) -> Iterator[tuple[int, int]]:
    """Start and end of blocks of whole lines [bytes]."""
    while begin < len(data):
        end = min(begin + _LINES, len(data))
        if end < len(data):
            end = data.rfind(b"\n", begin, end) + 1 or len(data)
        yield begin, end
        begin = end


def _parsed(block: bytes, want: Wanted) -> pl.DataFrame | None:
    """The columns wanted and the last one; None when a cell is not what it should be."""
    names = fields_of(want.layout)
    chosen = [i for i, n in enumerate(names) if want.reads(n) or i == len(names) - 1]
    try:
        return pl.read_csv(
            block, has_header=False, separator=want.layout.delimiter,
            schema={n: pl.String if want.text(n, True) else pl.Float64 for n in names},
            columns=chosen, quote_char=None, decimal_comma=want.decimal == ",",
            raise_if_empty=False, null_values=want.blanks,
        )  # fmt: skip
    except (PolarsError, UnicodeDecodeError):
        return None


def _even(block: bytes, layout: Layout, frame: pl.DataFrame) -> bool:
    """Whether every row has all its cells and none has more."""
    # As many delimiters as the rows need and none short: then none is long either.
    if _count(block, ord(layout.delimiter)) != frame.height * (layout.fields - 1):
        return False
    empty = frame[frame.columns[-1]].null_count()
    if layout.fields > layout.width and empty < frame.height:
        return False
    return not empty or even_lines(block, 0, layout)


def _count(block: bytes, sign: int) -> int:
    """How often a byte stands in a block; piece by piece, which is quicker than bytes.count."""
    cells = np.frombuffer(block, dtype=np.uint8)
    return sum(
        int(np.count_nonzero(cells[i : i + _PIECE] == sign)) for i in range(0, len(cells), _PIECE)
    )


def fields_of(layout: Layout) -> list[str]:
    """A name for every field of a row, the empty one at the end too."""
    return [*layout.labels, *[""] * (layout.fields - layout.width)]


def blanks(sample: Table) -> list[str]:
    """The words for "nothing" met in the first rows; polars is told to expect them."""
    found: set[str] = set()
    for column in sample.columns:
        if column.cells is not None:
            found |= {c for c in column.cells.unique().to_list() if c and is_blank(c)}
    return sorted(found)


def even_lines(data: Buffer, begin: int, layout: Layout) -> bool:
    """Whether every line has the same number of delimiters, line by line."""
    cells = np.frombuffer(data, dtype=np.uint8)
    wanted, over = layout.fields - 1, 0
    for start in range(begin, len(cells), _BLOCK):
        block = cells[start : start + _BLOCK]
        ends = np.flatnonzero(block == ord("\n"))
        at = np.searchsorted(np.flatnonzero(block == ord(layout.delimiter)), ends)
        total = int(np.count_nonzero(block == ord(layout.delimiter)))
        if not ends.size:
            over += total
            continue
        counts = np.diff(at, prepend=0)
        counts[0] += over
        if (counts != wanted).any():
            return False
        over = total - int(at[-1])
    return over in (0, wanted)
