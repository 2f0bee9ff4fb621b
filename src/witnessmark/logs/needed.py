"""Which columns of a large file have to be read at all."""

from collections.abc import Collection, Mapping, Sequence

from witnessmark.logs.channels.correct import Told
from witnessmark.logs.channels.measure import known_scale
from witnessmark.logs.channels.recognise import claims
from witnessmark.logs.table import RawColumn
from witnessmark.model.channel import How
from witnessmark.units import Kind, Scale


def needed(
    columns: Sequence[RawColumn], told: Mapping[str, Told], only: Collection[str]
) -> dict[str, Scale | None]:
    """The columns to read, with the way to SI where the file names a unit that settles it.

    `only`: channels that are wanted, all if empty.
    """
    claimed = [c for c in claims(columns, told) if c.entry is not None]
    scales = {c.column.name: known_scale(c) for c in claimed}
    kinds = {c.column.name: c.entry.channel for c in claimed if c.entry is not None}
    if not only or any(_told_by_others(kinds[n].kind, by) for n, by in scales.items()):
        return scales
    named = {c.column.name for c in claimed if c.how is How.TOLD}
    return {n: by for n, by in scales.items() if kinds[n].name in only or n in named}


def _told_by_others(kind: Kind, by: Scale | None) -> bool:
    """Whether a unit that is missing is told by the other columns: then all are read.

    A share and a mixture are told by their own values.
    """
    return by is None and kind not in (Kind.MIXTURE, Kind.FRACTION)
