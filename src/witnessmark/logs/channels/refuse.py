"""The words for what is refused, set aside or taken out."""

from collections.abc import Sequence

import numpy as np

from witnessmark.errors import UserError
from witnessmark.logs.channels.choose import Candidate
from witnessmark.logs.channels.measure import Measured, shown, thinned, units_that_fit
from witnessmark.logs.channels.recognise import Claim, ask
from witnessmark.logs.channels.vocabulary import vocabulary
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
    if seen.hurried and not seen.bad:
        return f"{low} to {high}: {_hurry(measured)}"
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
    if seen.hurried:
        parts.append(_hurry(measured))
    return " and ".join(parts)


def _hurry(measured: Measured) -> str:
    most, moves = measured.entry.kept_up, vocabulary().moves
    by = scale(measured.taken, measured.entry.channel.kind)
    assert most is not None and by is not None
    return (
        f"it goes on moving by more than {most / by.factor:,.3g} {measured.taken} in "
        f"{moves.window:.0f} s for over {100 * moves.share:.0f} % of the log"
    )


def unrelated_claim(claim: Claim, moved: float) -> Claim:
    """A road speed that has nothing to do with the engine's, set aside."""
    window = vocabulary().moves.ratio_window
    return claim.aside(
        "cannot be the road speed of this engine: in gear the two move together, here their ratio "
        f"moves by {100 * moved:.0f} % every {window:.0f} s"
    )


def moves_like_none(name: str, false: Sequence[str]) -> UserError:
    """A log in whose ranges all is well, but that moves like no engine."""
    return UserError(
        name, f"this log cannot be true: {'; '.join(false)}", "a log of a real engine is wanted",
        "Log the car itself, not a simulator or a self-test; if a unit is misread, say it with "
        "--channel 'COLUMN=name:unit'",
    )  # fmt: skip


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
    fitting = other_units(first)
    if fitting:
        option = ask(first[0].claim.column, first[0].entry, fitting[0])
        remedy = f"If its unit is {fitting[0]}, pass {option}"
    return UserError(name, f"this log cannot be true: {found}", wanted, remedy)


def other_units(candidate: Candidate) -> list[str]:
    """Units in which a channel would make sense, if the one it was read in does not."""
    measured, _ = candidate
    entry = measured.entry
    by = scale(measured.taken, entry.channel.kind)
    if by is None or entry.channel.kind is Kind.MIXTURE:
        return []
    fitting = units_that_fit(entry, (thinned(measured.values) - by.offset) / by.factor)
    taken = known_unit(measured.taken)
    return [] if any(known_unit(unit) == taken for unit in fitting) else fitting


# Kinds whose common size is told well enough to say that a stated unit is unusual. A pressure
# or a temperature that is unusual may be what is wrong with the engine: it is used as written.
_DOUBTED = (Kind.FRACTION, Kind.TEMPERATURE, Kind.PRESSURE, Kind.ABSOLUTE_PRESSURE)


def doubt(candidate: Candidate) -> str:
    """What values say against the way they are read, though they are possible; "" if nothing."""
    if candidate[0].entry.channel.name == "throttle_position":
        return unit_doubt(candidate) or _stops_short(candidate)
    return unit_doubt(candidate)


def unit_doubt(candidate: Candidate) -> str:
    """What values say against a stated unit in which they are possible, "" if nothing."""
    measured, _ = candidate
    if measured.entry.channel.kind not in _DOUBTED or measured.claim.how is not How.NAMED:
        return ""
    fitting = other_units(candidate)
    if len(fitting) != 1 or fitting[0] == "inHg":  # an idle in kPa reads like a pull in inHg
        return ""
    option = ask(measured.claim.column, measured.entry, fitting[0])
    return (
        f"read in {measured.taken} as written, but its values would be usual as "
        f"{shown(fitting[0])}; if they are: {option}"
    )


def _stops_short(candidate: Candidate) -> str:
    """A throttle that is often at one highest reading under 100 %: the scale of a raw sensor."""
    measured, seen = candidate
    moves = vocabulary().moves
    most = float(np.nanmax(measured.values)) if seen.count > seen.removed else 0.0
    if not moves.full_low <= most <= moves.full_high:
        return ""
    if np.nanmin(measured.values) > moves.full_low:
        return ""
    if np.count_nonzero(measured.values == most) < moves.full_share * seen.count:
        return ""
    at = shown_value(measured, most)
    return f"its highest reading, {at}, comes again and again: full throttle may read {at} here"


def makes_sense_in(candidate: Candidate, unit: str) -> bool:
    """Whether the readings would be usual in another unit."""
    measured, _ = candidate
    by = scale(measured.taken, measured.entry.channel.kind)
    if by is None:
        return False
    numbers = (thinned(measured.values) - by.offset) / by.factor
    return unit in units_that_fit(measured.entry, numbers)


def doubted(candidate: Candidate) -> Note | None:
    """Values that are possible but not usual in the stated unit: used as written and said."""
    said = doubt(candidate)
    return Note(f"column '{candidate[0].claim.column.name}'", said) if said else None


def false_claim(candidate: Candidate) -> Claim:
    """One bad channel set aside, with the unit that would make sense of it."""
    measured, _ = candidate
    claim = measured.claim
    why = f"cannot be the {measured.entry.channel.title.lower()}: {_reason(candidate)}"
    fitting = other_units(candidate)
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
