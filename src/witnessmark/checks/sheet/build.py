"""Contradictions in a build sheet: all of them, before anybody cranks the engine."""

from collections.abc import Iterator

from witnessmark.checks.sheet.build_relations import RELATIONS, own, redline_too_low
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.build import BuildSheet
from witnessmark.model.build_rules import BuildRules, Window
from witnessmark.model.build_sheet.paths import field_at
from witnessmark.model.number import fits
from witnessmark.model.plan import Limit, Line
from witnessmark.model.said import Said
from witnessmark.physics.engine import mean_piston_speed
from witnessmark.physics.gearing import road_speed
from witnessmark.units import Quantity

_SAME = 1e-9  # relative: two spellings of one size ("0.010 in", "0.254 mm") are equal


def contradictions(
    sheet: BuildSheet, rules: BuildRules, asked_speed: Limit | None
) -> Iterator[Line]:
    """A sound sheet agrees with itself, with its own limits and with the rules: no line at all.

    `asked_speed` is the highest engine speed the recipe's holds and sweeps ask for, None if
    there is no recipe yet. A value the sheet leaves out is never contradicted.
    """
    judged: set[str] = set()
    for window in rules.windows:
        if window.path not in judged and fits(window.when, sheet.traits):
            judged.add(window.path)
            yield from _outside(sheet, window, rules.owner)
    for relation in RELATIONS:
        yield from relation(sheet, rules)
    if asked_speed is not None:
        yield from redline_too_low(sheet, asked_speed)


def _outside(sheet: BuildSheet, window: Window, owner: str) -> Iterator[Line]:
    """Values of one window that lie outside it, each named by its journal or cylinder."""
    for number, value in enumerate(_values(sheet, window.path), start=1):
        item = window.item.replace("{n}", str(number))
        found = Quantity(value, window.kind)
        if value <= 0 and window.below_zero:
            text = f"{item.rstrip(',')} is {{found}}: {window.below_zero}"
            yield Line(Said(_capital(text), {"found": found}), window.why, _derived(owner))
            continue
        for side, beyond in (("least", -1.0), ("most", 1.0)):
            limit, share, authority = _limit(sheet, window, side, owner)
            if (value - limit.value) * beyond > _SAME * abs(limit.value):
                text = f"{item} is {{found}}; at {side} {{limit}} is wanted{share}"
                said = Said(_capital(text), {"found": found, "limit": limit})
                yield Line(said, window.why + _own_hint(sheet, window, side), authority)


def _limit(
    sheet: BuildSheet, window: Window, side: str, owner: str
) -> tuple[Quantity, str, Authority]:
    """One end of a window as a quantity, the share it was worked out from, and who says so."""
    path = _own_path(window, side)
    if path is not None and not sheet.assumed(path):
        return Quantity(_values(sheet, path)[0], window.kind), "", own(sheet)
    end = window.ends[0 if side == "least" else 1]
    authority = window.authority(owner)
    if window.per is None:
        return Quantity(end, window.kind), "", authority
    base = _values(sheet, window.per, given=False)[0]
    title = field_at(BuildSheet, window.per).title
    return Quantity(end * base, window.kind), f" ({end:g} of the {title})", authority


def _own_path(window: Window, side: str) -> str | None:
    return window.own_least if side == "least" else window.own_most


def _own_hint(sheet: BuildSheet, window: Window, side: str) -> str:
    """How to put the engine's own limit in place of ours, where it gave none."""
    path = _own_path(window, side)
    if path is None or not sheet.assumed(path):
        return ""
    return f" If this engine's own limit is another, write it as {path}."


def _values(sheet: BuildSheet, path: str, given: bool = True) -> tuple[float, ...]:
    """Values the sheet gives at a path, in SI; none if it leaves them out.

    With `given` false, a value that was assumed counts too.
    """
    if path.startswith("derived."):
        value = _DERIVED[path](sheet)
        return () if value is None else (value,)
    if given and sheet.assumed(path):
        return ()
    found = sheet.value(path)
    values = found if isinstance(found, tuple) else (found,)
    return tuple(float(value) for value in values if isinstance(value, int | float))


def _piston_speed(sheet: BuildSheet) -> float:
    return mean_piston_speed(sheet.layout.stroke, sheet.layout.redline)


def _tyre_diameter(sheet: BuildSheet) -> float | None:
    return sheet.gearing.diameter if sheet.gearing else None


def _top_speed(sheet: BuildSheet) -> float | None:
    gearing = sheet.gearing
    if gearing is None or gearing.diameter is None:
        return None
    return road_speed(
        sheet.layout.redline, gearing.gears[-1] * gearing.final_drive, gearing.diameter
    )


_DERIVED = {
    "derived.piston_speed": _piston_speed,
    "derived.tyre_diameter": _tyre_diameter,
    "derived.top_speed": _top_speed,
}


def _derived(owner: str) -> Authority:
    return Authority(owner, SourceKind.DERIVED, "the sheet's own numbers")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
