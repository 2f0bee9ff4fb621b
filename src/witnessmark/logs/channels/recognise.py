"""What each column claims to be, by its name and unit alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from witnessmark.logs.channels.correct import IGNORE, TIME, Told
from witnessmark.logs.channels.naming import Match, Named, matches, take_apart, unitless
from witnessmark.logs.channels.vocabulary import Entry, Vocabulary, vocabulary
from witnessmark.logs.table import RawColumn
from witnessmark.model.channel import How

_TYPED = {"λ": "lambda"}  # as a keyboard has it


@dataclass(frozen=True)
class Claim:
    """A column and the channel it claims; `entry` None when it claims none.

    `unit`: as written, "" when the file names none. `gauge`: named as counted from the
    atmosphere. `rank`: how good the name is, 0 the best. `may_be`: the channel it would be if
    the user said so, "" if none. `sure`: nothing of it was told from values or passed over.
    """

    column: RawColumn
    how: How
    why: str
    entry: Entry | None = None
    unit: str = ""
    gauge: bool = False
    rank: float = 0.0
    may_be: str = ""
    sure: bool = True

    def unread(self) -> "Claim":
        """The same column, known for its channel but left unread."""
        title = "" if self.entry is None else self.entry.channel.title.lower()
        return replace(self, how=How.UNREAD, why=f"{title}; not needed here", entry=None)

    def aside(self, why: str, unit: str | None = None) -> "Claim":
        """The same column, not used, and why; with a `unit`, what to type to have it used."""
        if unit is None or self.entry is None:
            return replace(self, how=How.SET_ASIDE, why=why, entry=None)
        option = ask(self.column, self.entry, unit)
        may_be = self.entry.channel.name
        return replace(self, how=How.SET_ASIDE, why=f"{why}: {option}", entry=None, may_be=may_be)


def claims(columns: Sequence[RawColumn], told: Mapping[str, Told]) -> list[Claim]:
    """One claim a column, in the file's order."""
    return [_claim(column, told.get(column.name)) for column in columns]


def _claim(column: RawColumn, told: Told | None) -> Claim:
    known = vocabulary()
    if told is not None:
        if told.channel in (IGNORE, TIME):
            return Claim(column, How.TOLD, f"left out, as told by you{_before(told)}")
        entry = known.entries[told.channel]
        gauge = entry.channel.name == "manifold_pressure"
        why = f"told by you{_before(told)}"
        return Claim(column, How.TOLD, why, entry, told.unit, gauge, rank=-1.0)
    first = _by_name(column, take_apart(column.name, column.unit), known)
    if first.entry is None and column.also:
        second = _by_name(column, take_apart(column.also, column.unit), known)
        if second.entry is not None:
            return second
    return first


def _before(told: Told) -> str:
    return f" on {told.on}" if told.on else ""


def _by_name(column: RawColumn, named: Named, known: Vocabulary) -> Claim:
    found = matches(named)
    if not found:
        bare = unitless(named)
        if bare is not None:
            title, units = bare.channel.title.lower(), " or ".join(bare.units)
            why = f"may be the {title}, but names no unit ({units}); if it is"
            return Claim(column, How.UNKNOWN, "", bare).aside(why, bare.units[0])
        why = "no channel of ours goes by this name"
        return Claim(column, How.UNKNOWN, why, unit=named.unit if named.sure else "")
    best = found[0]
    # A tie goes to the channel whose kind the unit fits.
    fitting = [m for m in found if m.fits and not m.left]
    if best.unit and not best.fits and fitting:
        best = fitting[0]
    return _judge(column, best, known)


def _judge(column: RawColumn, match: Match, known: Vocabulary) -> Claim:
    title = match.entry.channel.title.lower()
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
        why = f"a second sensor ('{' '.join(second)}'); to use it"
        return claim.aside(why, match.unit)
    if match.unit and not match.fits:
        units = ", ".join(match.entry.units)
        found = claim.aside(
            f"looks like the {title}, but '{match.unit}' is not a unit of it ({units}); if it is",
            "",
        )
        # "Fan Speed (rpm)": one common word, and neither the rest nor the unit fits.
        return replace(found, may_be="") if strange and match.phrase.weak else found
    if len(strange) > 1 or (strange and (match.phrase.weak or not match.fits)):
        words = " ".join(strange)
        why = f"may be the {title}, but '{words}' in its name is not known; if it is"
        found = claim.aside(why, match.unit)
        # One common word beside a stranger and no unit: not worth asking about aloud.
        return found if match.fits or not match.phrase.weak else replace(found, may_be="")
    if strange:
        why = f"'{strange[0]}' in its name is not known; taken for its unit and the other words"
        return replace(claim, why=why, rank=claim.rank + 20, sure=False)
    return claim


def join(first: str, second: str) -> str:
    """Two reasons as one; either may be empty."""
    return "; ".join(filter(None, (first, second)))


def ask(column: RawColumn, entry: Entry, unit: str) -> str:
    """What to type to say what a column is."""
    unit = unit or (entry.units[0] if len(entry.units) == 1 else "UNIT")
    return f"--channel '{column.name}={entry.channel.name}:{_TYPED.get(unit, unit)}'"
