"""Whether readings stand under their names: rows that end in a delimiter hide a name too many.

Such a row is one cell longer than it has readings. A header with one name too many then fits it
exactly, and each column behind that name shows its neighbour's readings. Only the readings tell.
"""

from collections.abc import Mapping

from witnessmark.errors import UserError
from witnessmark.logs.channels.correct import Told
from witnessmark.logs.channels.measure import known_scale, looks_like
from witnessmark.logs.channels.recognise import Claim, claims
from witnessmark.logs.delimited.cells import numbers
from witnessmark.logs.table import RawColumn, Table
from witnessmark.model.log import Floats, Note

_EMPTY = (
    "empty in every row: if there is one column name too many, the columns behind it show their "
    "neighbours' readings"
)
_ENOUGH = 2000  # readings that show what a column is


def refuse_one_off(table: Table, told: Mapping[str, Told], decimal: str) -> tuple[Note, ...]:
    """Raise UserError when the last column is empty and the names fit better one cell on.

    Where they fit as well either way, that is what there is to say.
    """
    columns = [c for c in table.columns if c.cells is not None]
    if table.long or len(columns) < 3 or not _empty(columns[-1]):
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
    return (Note(f"column '{columns[-1].name}'", _EMPTY),)


def _empty(column: RawColumn) -> bool:
    return column.cells is not None and bool(column.cells.str.strip_chars().eq("").all())


def _read(column: RawColumn, decimal: str, delimiter: str) -> Floats:
    assert column.cells is not None
    return numbers(column.cells.head(_ENOUGH), decimal, delimiter).values


def _misfit(claim: Claim, values: Floats) -> bool:
    """Whether a column of a known channel and unit cannot be showing these readings."""
    by = known_scale(claim)
    if claim.entry is None or by is None:
        return False
    return not looks_like(claim.entry, values, by)
