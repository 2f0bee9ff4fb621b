"""What each column claims to be, by its name and unit alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from witnessmark.logs.correct import IGNORE, TIME, Told
from witnessmark.logs.naming import Match, Named, matches, take_apart
from witnessmark.logs.table import RawColumn
from witnessmark.logs.vocabulary import Entry, Vocabulary, vocabulary
from witnessmark.model.channel import How


@dataclass(frozen=True)
class Claim:
    """A column and the channel it claims; `entry` None when it claims none.

    `unit`: as written, "" when the file names none. `gauge`: named as counted from the
    atmosphere. `rank`: how good the name is, 0 the best. `left`: words not understood.
    """

    column: RawColumn
    how: How
    why: str
    entry: Entry | None = None
    unit: str = ""
    gauge: bool = False
    rank: float = 0.0

    def aside(self, why: str) -> "Claim":
        """The same column, not used, and why."""
        return replace(self, how=How.SET_ASIDE, why=why, entry=None)


def claims(columns: Sequence[RawColumn], told: Mapping[str, Told]) -> list[Claim]:
    """One claim a column, in the file's order."""
    return [_claim(column, told.get(column.name)) for column in columns]


def _claim(column: RawColumn, told: Told | None) -> Claim:
    known = vocabulary()
    if told is not None:
        if told.channel in (IGNORE, TIME):
            return Claim(column, How.TOLD, "left out, as told by you")
        entry = known.entries[told.channel]
        gauge = entry.channel.name == "manifold_pressure"
        return Claim(column, How.TOLD, "told by you", entry, told.unit, gauge, rank=-1.0)
    first = _by_name(column, take_apart(column.name, column.unit), known)
    if first.entry is None and column.also:
        second = _by_name(column, take_apart(column.also, column.unit), known)
        if second.entry is not None:
            return second
    return first


def _by_name(column: RawColumn, named: Named, known: Vocabulary) -> Claim:
    found = matches(named)
    if not found:
        why = "no channel of ours goes by this name"
        if named.unit and not named.sure:
            why += f"; if it is one: {ask(column, 'CHANNEL', named.unit)}"
        return Claim(column, How.UNKNOWN, why, unit=named.unit if named.sure else "")
    best = found[0]
    # A tie goes to the channel whose kind the unit fits.
    fitting = [m for m in found if m.fits and not m.left]
    if best.unit and not best.fits and fitting:
        best = fitting[0]
    return _judge(column, best, known)


def _judge(column: RawColumn, match: Match, known: Vocabulary) -> Claim:
    title = match.entry.channel.title.lower()
    name = match.entry.channel.name
    claim = Claim(
        column, How.NAMED, "", match.entry, match.unit, match.phrase.gauge, float(match.rank)
    )
    others = [w for w in match.left if w in known.other]
    second = [w for w in match.left if w in known.second]
    strange = [w for w in match.left if w not in known.other and w not in known.second]
    if others:
        return replace(
            claim, how=How.UNKNOWN, entry=None,
            why=f"'{' '.join(others)}' in its name marks another thing than the {title}",
        )  # fmt: skip
    if second:
        why = f"a second sensor ('{' '.join(second)}'); to use it: {ask(column, name, match.unit)}"
        return claim.aside(why)
    if match.unit and not match.fits:
        units = ", ".join(match.entry.units)
        return claim.aside(
            f"looks like the {title}, but '{match.unit}' is not a unit of it ({units}); "
            f"if it is: {ask(column, name, '')}"
        )
    if len(strange) > 1 or (strange and not match.fits):
        words = " ".join(strange)
        return claim.aside(
            f"may be the {title}, but '{words}' in its name is not known; "
            f"if it is: {ask(column, name, match.unit)}"
        )
    if strange:
        why = f"'{strange[0]}' in its name is not known; taken for its unit and the other words"
        return replace(claim, why=why, rank=claim.rank + 20)
    return claim


def ask(column: RawColumn, channel: str, unit: str) -> str:
    """What to type to say what a column is."""
    return f"--channel '{column.name}={channel}:{unit or 'UNIT'}'"
