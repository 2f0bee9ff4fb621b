"""The words for what is refused, set aside or taken out."""

from collections.abc import Sequence

from witnessmark.errors import UserError
from witnessmark.logs.channels.choose import Candidate
from witnessmark.logs.channels.measure import Measured, shown, units_that_fit
from witnessmark.logs.channels.recognise import Claim, ask
from witnessmark.model.channel import How
from witnessmark.model.log import Note
from witnessmark.units import Kind, Preferences, Quantity, known_unit, scale, show

_LISTED = 30  # columns named in one message


def shown_value(measured: Measured, value: float) -> str:
    """An SI value in the unit the column was read in."""
    kind = measured.entry.channel.kind
    by = scale(measured.taken, kind)
    if by is None or kind is Kind.MIXTURE:
        return show(Quantity(value, kind), Preferences())
    number = (value - by.offset) / by.factor
    return (
        f"{number:,.4g} {measured.taken}".strip()
        if abs(number) < 1e4
        else (f"{number:,.0f} {measured.taken}")
    )


def _found(candidate: Candidate) -> str:
    measured, seen = candidate
    low, high = shown_value(measured, seen.low), shown_value(measured, seen.high)
    share = 100 * min(seen.bad / max(seen.count, 1), 1.0)
    return f"{low} to {high}, {share:.0f} % of {seen.count:,} readings beyond reason"


def _reason(candidate: Candidate) -> str:
    """In what way a channel is false."""
    measured, seen = candidate
    channel = measured.entry.channel
    parts = []
    if seen.outside and seen.marker is None:
        limits = f"{shown_value(measured, channel.low)} to {shown_value(measured, channel.high)}"
        parts.append(f"{seen.outside:,} readings outside {limits}")
    if seen.leaps:
        parts.append(f"{seen.leaps:,} jumps no engine can make")
    return " and ".join(parts)


def implausible(name: str, false: Sequence[Candidate], good: int) -> UserError:
    """A log that cannot be true: which channels, and what was found."""
    ranked = sorted(false, key=lambda c: c[0].entry.channel.name != "engine_speed")
    first = ranked[0]
    title = first[0].entry.channel.title
    found = f"{title.lower()} ('{first[0].claim.column.name}') runs {_found(first)}"
    if len(ranked) > 1:
        rest = "; ".join(f"'{c[0].claim.column.name}' {_found(c)}" for c in ranked[1:6])
        more = f" and {len(ranked) - 6} more" if len(ranked) > 6 else ""
        found += (
            f"; so do {len(ranked) - 1} of {len(false) + good - 1} other channels: {rest}{more}"
        )
    limits = first[0].entry.channel
    wanted = (
        f"a log of a real engine is wanted: {title.lower()} between "
        f"{shown_value(first[0], limits.low)} and {shown_value(first[0], limits.high)}, "
        "without jumps no engine can make"
    )
    remedy = "Log the car itself, not a simulator or a self-test"
    fitting = _other_units(first)
    if fitting:
        option = ask(first[0].claim.column, first[0].entry, fitting[0])
        remedy = f"If its unit is {fitting[0]}, pass {option}"
    return UserError(name, f"this log cannot be true: {found}", wanted, remedy)


def _other_units(candidate: Candidate) -> list[str]:
    """Units in which a channel would make sense, if the one it was read in does not."""
    measured, _ = candidate
    entry = measured.entry
    by = scale(measured.taken, entry.channel.kind)
    if by is None or entry.channel.kind is Kind.MIXTURE:
        return []
    fitting = units_that_fit(entry, (measured.values - by.offset) / by.factor)
    taken = known_unit(measured.taken)
    return [] if any(known_unit(unit) == taken for unit in fitting) else fitting


def doubted(candidate: Candidate) -> Note | None:
    """A share of 0 to 1 under a percent sign: possible in either, so used as written and said."""
    measured, _ = candidate
    if measured.entry.channel.kind is not Kind.FRACTION or measured.claim.how is not How.NAMED:
        return None
    fitting = _other_units(candidate)
    if not fitting:
        return None
    column = measured.claim.column
    return Note(
        f"column '{column.name}'",
        f"read in {measured.taken} as written, but its values would be usual as "
        f"{shown(fitting[0])}; if they are: {ask(column, measured.entry, fitting[0])}",
    )


def false_claim(candidate: Candidate) -> Claim:
    """One bad channel set aside, with the unit that would make sense of it."""
    measured, _ = candidate
    claim = measured.claim
    why = f"cannot be the {measured.entry.channel.title.lower()}: {_reason(candidate)}"
    fitting = _other_units(candidate)
    if fitting:
        return claim.aside(f"{why}; its values would make sense in {fitting[0]}", fitting[0])
    return claim.aside(why)


def said_of(candidate: Candidate) -> list[Note]:
    """What has to be said of a channel that is used."""
    doubt = doubted(candidate)
    return [*([doubt] if doubt else []), *([removed(candidate)] if candidate[1].removed else [])]


def removed(candidate: Candidate) -> Note:
    """What was taken out of a channel that is otherwise sound."""
    measured, seen = candidate
    parts = []
    if seen.marker is not None:
        at = shown_value(measured, seen.marker)
        parts.append(f"{seen.outside:,} readings of {at} stand for no reading")
    elif seen.outside:
        parts.append(f"{seen.outside:,} readings outside what is possible")
    if seen.spikes:
        parts.append(f"{seen.spikes:,} lone spikes")
    return Note(f"column '{measured.claim.column.name}'", f"{' and '.join(parts)}: taken out")


def nothing_known(name: str, done: Sequence[Claim]) -> UserError:
    """No column can be used: which there are, and what to type for those that were close."""
    asked = [claim for claim in done if claim.how is How.SET_ASIDE]
    if asked and not any("not one reading" not in claim.why for claim in asked):
        return UserError(
            name, "not one reading in the columns we know "
            f"({', '.join(repr(c.column.name) for c in asked[:_LISTED])})",
            "a log with readings is wanted", "Check that the logger was connected, and log again",
        )  # fmt: skip
    names = [f"'{claim.column.name}'" for claim in done]
    listed = ", ".join(names[:_LISTED]) + (" and more" if len(names) > _LISTED else "")
    remedy = "Say what a column is: --channel 'COLUMN=engine_speed:rpm'"
    if asked:
        remedy = f"'{asked[0].column.name}': {asked[0].why}"
    return UserError(
        name,
        f"none of its columns can be used ({listed})",
        "at least engine speed is wanted",
        remedy,
    )
