"""What the user says a column is: --channel 'COLUMN=name:unit'."""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.errors import UserError
from witnessmark.logs.channels.naming import is_afr, take_apart
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.logs.table import RawColumn
from witnessmark.units import Kind, scale, units_of

IGNORE, TIME = "ignore", "time"
_OPTION = "--channel"
_SHAPE = "write --channel 'COLUMN=name:unit', for example --channel 'RPM=engine_speed:rpm'"


@dataclass(frozen=True)
class Told:
    """One correction: the channel ("time", "ignore" or one of ours) and its unit, "" if none.

    `on`: the day it was said, "" if just now.
    """

    channel: str
    unit: str
    on: str = ""


def corrections(
    texts: Sequence[str], columns: Sequence[RawColumn], on: str = ""
) -> dict[str, Told]:
    """Corrections by column name; UserError listing what is known when one does not fit.

    `on`: the day they were said, if it was before.
    """
    found: dict[str, Told] = {}
    for text in texts:
        column, sign, rest = text.rpartition("=")
        if not sign or not column.strip() or not rest.strip():
            raise UserError(
                f"{_OPTION} '{text}'", "this is no correction", "a column and a channel are wanted",
                _SHAPE[0].upper() + _SHAPE[1:],
            )  # fmt: skip
        name, _, unit = (part.strip() for part in rest.partition(":"))
        where = f"{_OPTION} '{text}'"
        target = _column(column.strip(), columns, where)
        found[target.name] = Told(name, _unit(name, unit, target, where), on)
    return found


def _column(name: str, columns: Sequence[RawColumn], where: str) -> RawColumn:
    def same(text: str) -> bool:
        return text.casefold() == name.casefold()

    for wanted in (
        [c for c in columns if c.name == name],
        [c for c in columns if same(c.name)],
        [c for c in columns if c.also and same(c.also)],
        [c for c in columns if same(_bare(c))],
    ):
        if len(wanted) == 1:
            return wanted[0]
    names = [c.name for c in columns]
    near = difflib.get_close_matches(name, names, n=3, cutoff=0.4)
    listed = ", ".join(f"'{n}'" for n in [*near, *(n for n in names if n not in near)][:40])
    raise UserError(
        where, f"the log has no column '{name}'", f"its columns are {listed}", "Name one"
    )


def _bare(column: RawColumn) -> str:
    """The name without the unit written in it."""
    unit = take_apart(column.name).unit
    return column.name.replace(unit, "").strip(" []()_,") if unit else column.name


def _unit(channel: str, unit: str, column: RawColumn, where: str) -> str:
    known = vocabulary().entries
    if channel == IGNORE:
        return ""
    if channel == TIME:
        kind = Kind.DURATION
    elif channel in known:
        kind = known[channel].channel.kind
    else:
        near = difflib.get_close_matches(channel, known, n=1)
        remedy = f"Did you mean '{near[0]}'? " if near else ""
        raise UserError(
            where, f"there is no channel '{channel}'",
            f"the channels are {', '.join(known)}, and 'time' or 'ignore'", f"{remedy}{_SHAPE}",
        )  # fmt: skip
    stated = unit or column.unit or take_apart(column.name).unit
    fits = scale(stated, kind) is not None or (kind is Kind.MIXTURE and is_afr(stated))
    if channel == TIME and not unit:
        return stated if fits else ""
    if fits and (stated or kind in (Kind.COUNT, Kind.MIXTURE)):
        return stated
    found = (
        f"'{unit}' is not a unit of {kind.value}" if unit else f"no unit of {kind.value} is named"
    )
    raise UserError(
        where, found, f"its units are {', '.join(units_of(kind))}",
        f"Write --channel '{column.name}={channel}:UNIT'",
    )  # fmt: skip
