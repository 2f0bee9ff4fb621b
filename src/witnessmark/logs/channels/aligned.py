"""Whether readings stand under their names: rows that end in a delimiter hide a name too many.

Such a row is one cell longer than it has readings. A header with one name too many then fits it
exactly, and each column behind that name shows its neighbour's readings. Only the readings tell.
"""

from collections.abc import Mapping

import numpy as np

from witnessmark.errors import UserError
from witnessmark.logs.channels.correct import Told
from witnessmark.logs.channels.measure import known_scale, looks_like, units_that_fit
from witnessmark.logs.channels.recognise import Claim, claims
from witnessmark.logs.delimited.cells import numbers
from witnessmark.logs.table import RawColumn, Table
from witnessmark.model.log import Floats, Note
from witnessmark.units import Kind

_EMPTY = (
    "empty in all rows or nearly all; the readings of the other columns show that they stand "
    "under their names"
)
_STRAY, _STRAY_SHARE = 3, 0.1  # so many cells, and this share of them, make no column
_ENOUGH = 2000  # readings that show what a column is


def refuse_one_off(table: Table, told: Mapping[str, Told], decimal: str) -> tuple[Note, ...]:
    """Raise UserError when the last column is empty and the readings do not prove the names.

    They do when, whichever name were one too many, a known column behind it would show what it
    cannot. Who says what the last column is (or that it is to be ignored) has looked.
    """
    columns = [c for c in table.columns if c.cells is not None]
    if table.long or len(columns) < 3 or not _empty(columns[-1]) or columns[-1].name in told:
        return ()
    claimed = {c.column.name: c for c in claims(columns, told)}
    read = [_read(c, decimal, table.delimiter) for c in columns]
    here = [_misfit(claimed[c.name], read[i]) for i, c in enumerate(columns)]
    before = [i > 0 and _misfit(claimed[c.name], read[i - 1]) for i, c in enumerate(columns)]
    odd = [not any(map(str.isalpha, c.name)) or f"(column {i})" in c.name
           for i, c in enumerate(columns, 1)]  # fmt: skip
    best, place = min(
        (sum(here[:at]) + sum(before[at + 1 :]) + sum(odd) - odd[at], at)
        for at in range(1, len(columns))
    )
    if best < sum(here) + sum(odd):
        raise UserError(
            f"{table.name}, column '{columns[place].name}'",
            "there seems to be one column name too many: the last column is empty, and the "
            "readings fit the names better one column on",
            "each reading under its name is wanted",
            "Take the extra name out of the file's header, or export the log again",
        )  # fmt: skip
    used = [claimed[c.name].entry is not None and bool(np.isfinite(r).any())
            for c, r in zip(columns, read, strict=True)]  # fmt: skip
    for at in range(1, len(columns) - 2):
        if any(used[at + 1 :]) and sum(before[at + 1 :]) <= sum(here[at:]):
            raise _unproven(table.name, columns[-1].name, columns[at].name)
    return (Note(f"column '{columns[-1].name}'", _EMPTY),)


def _unproven(table: str, last: str, extra: str) -> UserError:
    return UserError(
        f"{table}, column '{last}'",
        "empty in all rows or nearly all, and the readings do not show whether a name before it "
        f"(such as '{extra}') is one too many: the columns behind that would show their "
        "neighbours' readings",
        "each reading under its name is wanted",
        f"If the names are right, say so with --channel '{last}=ignore'; else take the extra name "
        "out of the file's header",
    )


def _empty(column: RawColumn) -> bool:
    """Nothing in it, or a few cells that damage may have put there."""
    if column.cells is None:
        return False
    filled = int(column.cells.str.strip_chars().ne("").sum())
    return filled <= _STRAY and filled <= _STRAY_SHARE * len(column.cells)


def _read(column: RawColumn, decimal: str, delimiter: str) -> Floats:
    assert column.cells is not None
    return numbers(column.cells.head(_ENOUGH), decimal, delimiter).values


def _misfit(claim: Claim, values: Floats) -> bool:
    """Whether a column of a known channel and unit cannot be showing these readings."""
    if claim.entry is None or claim.entry.channel.kind is Kind.MIXTURE:
        return False
    if claim.entry.flag and claim.unit == "" and not _switches(values):
        return True
    by = known_scale(claim)
    if by is None:
        return bool(np.isfinite(values).any()) and not units_that_fit(
            claim.entry, values, claim.gauge
        )
    return not looks_like(claim.entry, values, by)


def _switches(values: Floats) -> bool:
    """Whether these are the whole numbers of a state or the shares of a duty."""
    some = values[np.isfinite(values)]
    return bool((some == np.round(some)).all() or ((some >= 0) & (some <= 1)).all())
