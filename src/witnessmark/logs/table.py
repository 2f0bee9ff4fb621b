"""A file laid out as columns, before any of them has a meaning."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
import polars as pl
from numpy.typing import NDArray

from witnessmark.model.log import Note

Index = NDArray[np.int64]


@dataclass(frozen=True)
class RawColumn:
    """One column as the file has it.

    `unit`: from a unit row or column, "" if none. `also`: its name in a second header row.
    `cells`: what stands in each cell, text or (from a tidy file) numbers. `rows`: the
    row of each cell when the column does not fill every row (a long log), None when it does.
    `share`: of the rows with something in the cell, where the first rows only were looked at.
    `si`: its numbers were turned into SI on the way in.
    """

    name: str
    unit: str = ""
    also: str = ""
    cells: pl.Series | None = None
    rows: Index | None = None
    share: float | None = None
    si: bool = False

    @property
    def count(self) -> int:
        """How many cells there are."""
        return 0 if self.cells is None else len(self.cells)


@dataclass(frozen=True)
class Table:
    """All columns of a file. `rows`: rows with readings. `long`: one reading a row.

    `started`: wall clock of the first row, where the file says it apart from its time column.
    """

    name: str
    rows: int
    columns: Sequence[RawColumn]
    delimiter: str
    long: bool = False
    notes: Sequence[Note] = field(default_factory=tuple)
    started: datetime | None = None
