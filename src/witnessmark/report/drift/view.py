"""What changed from log to log, in the reader's words and units."""

from dataclasses import dataclass

from witnessmark.model.build import BuildSheet
from witnessmark.model.drift import Change, Drift, LogDrift, Moved
from witnessmark.report.plan.view import Fact
from witnessmark.report.words import in_sentence, listed, printable, short
from witnessmark.units import Kind, Preferences, Quantity, show

LIMITS = (
    "A gauge sees how much oil gets past the bearings for the pressure there is. More leakage and "
    "thinner oil look alike to it; the rest of the log tells them apart only a little.",
    "It looks at all bearings together. One bearing far gone may hide among the sound ones: "
    "noise, filter and oil sample say more of a single bearing.",
    "Keep the sender. Another sender, a repair or another pump makes a new reference necessary.",
)
_FIRST = ("broken", "not-shown", "kept")
_KEYS = {Moved.CHANGED: "broken", Moved.SAME: "kept", Moved.CANNOT_TELL: "not-shown"}


@dataclass(frozen=True)
class ChangeView:
    """One part in one log. `key` : style of the answer."""

    title: str
    moved: str
    key: str
    change: str
    span: str
    why: str


@dataclass(frozen=True)
class LogDriftView:
    """One log: its facts, the answer in a line, the parts, and what to bear in mind."""

    name: str
    facts: str
    headline: str
    key: str
    changes: tuple[ChangeView, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class DriftView:
    """The whole page."""

    serial: str
    engine: str
    facts: tuple[Fact, ...]
    logs: tuple[LogDriftView, ...]  # in the order given
    answers: tuple[LogDriftView, ...]  # the same, what changed first
    limits: tuple[str, ...]
    footer: str


def drift_view(found: Drift, sheet: BuildSheet, prefer: Preferences | None = None) -> DriftView:
    """Drift in words. `prefer` : the reader's units; the build sheet's own if None."""
    chosen = prefer or sheet.prefer
    one_in = round(1 / found.false_alarms)
    logs = tuple(_log(each, found, chosen) for each in found.logs)
    values = [f"{in_sentence(name)} {show(value, chosen)}" for name, value in found.values]
    return printable(
        DriftView(
            serial=found.serial, engine=sheet.describe(),
            facts=(
                Fact("Held against", found.reference),
                Fact("As it was then", listed(values)),
                Fact("False alarms", f"'changed' is said of 1 sound log in {one_in:,}, all its "
                     "lines together, so far as logs are as our book takes them to be"),
                Fact("Not changed", "is said only if a change worth knowing would have been seen "
                     f"{_percent(found.power)} of the time"),
                Fact("Build sheet", short(found.build_sha256)),
            ),
            logs=logs, answers=tuple(sorted(logs, key=lambda each: _FIRST.index(each.key))),
            limits=LIMITS,
            footer=f"Drift of {found.serial}, held against {found.reference}",
        )
    )  # fmt: skip


def _log(log: LogDrift, found: Drift, prefer: Preferences) -> LogDriftView:
    changes = tuple(_change(each, found.power) for each in log.changes)
    moved = [each for each in log.changes if each.moved is Moved.CHANGED]
    same = [each for each in log.changes if each.moved is Moved.SAME]
    if moved:
        headline, key = f"Changed: {listed([_said(each) for each in moved])}", "broken"
    elif len(same) == len(log.changes):
        headline, key = "Nothing changed that is worth knowing", "kept"
    elif same:
        headline = f"Not changed: {listed([each.title for each in same])}; cannot tell the rest"
        key = "not-shown"
    else:
        headline, key = "Cannot tell: this log shows too little", "not-shown"
    seconds = show(Quantity(log.seconds, Kind.DURATION), prefer)
    return LogDriftView(
        log.source.name, f"{seconds} looked at, {log.oil}", headline, key, changes,
        (*_of_oil(log), *log.notes),
    )  # fmt: skip


def _said(change: Change) -> str:
    small = abs(change.share) < change.worth
    less = " (less than is worth acting on)" if small else ""
    return f"{change.title} {_signed(change.share)}{less}"


def _change(each: Change, power: float) -> ChangeView:
    if each.moved is Moved.CHANGED:
        why = f"{abs(each.sure):.1f} times its own uncertainty; {each.limit:.1f} times is asked"
    elif each.least > 1.0:
        why = "this log hardly shows it: it would have to double to be seen"
    else:
        why = f"a change of {_percent(each.least)} would be seen {_percent(power)} of the time"
        if each.moved is Moved.CANNOT_TELL:
            why += f"; {_percent(each.worth)} is worth knowing"
    return ChangeView(
        each.title[:1].upper() + each.title[1:], each.moved.value, _KEYS[each.moved],
        _signed(each.share), f"{_signed(each.low)} to {_signed(each.high)}", why,
    )  # fmt: skip


def _of_oil(log: LogDrift) -> list[str]:
    """What a change of the leakage may be besides leakage, and what would tell."""
    leak, thinner = log.changes[0], log.thinner
    if leak.moved is not Moved.CHANGED:
        return []
    way = "thinner" if thinner.viscosity < 0 else "thicker"
    oil = f"oil {_percent(abs(thinner.viscosity))} {way}"
    if thinner.fuel is not None:
        low, high = (_percent(share) for share in thinner.fuel)
        oil += f", such as {low} to {high} fuel makes it" if low != high else f" ({low} fuel)"
    odds = max(thinner.odds, 1 / thinner.odds)
    times = f"{odds:.0f}" if odds < 1000 else "over 1,000"
    if thinner.told_apart and thinner.odds > 1:
        return [f"Not the oil: the log is {times} times likelier with changed leakage than with "
                f"{oil}."]  # fmt: skip
    if thinner.told_apart:
        return [f"More likely the oil: the log is {times} times likelier with {oil} than with "
                "changed leakage. Have a sample measured before anything is opened."]  # fmt: skip
    return [
        f"This log cannot tell changed leakage from {oil}. To tell them apart, have the viscosity "
        "of a sample measured, or change to fresh oil of the same kind and log again: what the "
        "oil did goes away with it, what the bearings did stays."
    ]


def _signed(share: float) -> str:
    return f"{share:+.0%}".replace("%", " %") if abs(share) >= 0.1 else f"{share * 100:+.1f} %"


def _percent(share: float) -> str:
    return f"{share * 100:.0f} %" if share >= 0.1 else f"{share * 100:.1f} %".replace(".0 ", " ")
