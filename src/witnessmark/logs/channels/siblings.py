"""A unit nobody named, known from its siblings: a logger writes all temperatures in one."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from witnessmark.logs.channels.measure import known_scale, shown, units_that_fit
from witnessmark.logs.channels.recognise import Claim
from witnessmark.model.channel import How
from witnessmark.model.log import Floats
from witnessmark.units import Kind, known_unit

# Kinds of which a file holds one unit only. Gauge pressures are not among them: loggers write
# oil in psi or bar beside a manifold in kPa.
_ONE_UNIT = (Kind.TEMPERATURE, Kind.ROAD_SPEED, Kind.ABSOLUTE_PRESSURE)


def settle(claims: Sequence[Claim], numbers: Mapping[str, Floats]) -> list[Claim]:
    """The claims, those of several possible units with the one their siblings have."""
    fitting = {c.column.name: _fitting(c, numbers[c.column.name]) for c in claims}
    sure: dict[Kind, dict[str, str]] = defaultdict(dict)  # unit -> a column that has it
    for claim in claims:
        kind, units = _kind(claim), fitting[claim.column.name]
        if kind in _ONE_UNIT and len(units) == 1:
            sure[kind].setdefault(units[0], claim.column.name)
    return [_settled(c, fitting[c.column.name], sure[_kind(c)]) for c in claims]


def _kind(claim: Claim) -> Kind:
    assert claim.entry is not None
    return claim.entry.channel.kind


def _fitting(claim: Claim, numbers: Floats) -> list[str]:
    """The units a column may be in; one only, if its name says so or its values do."""
    assert claim.entry is not None
    if _kind(claim) not in _ONE_UNIT:
        return []
    if known_scale(claim) is not None:
        same = [u for u in claim.entry.units if known_unit(u) == known_unit(claim.unit)]
        return same or [claim.unit]
    return units_that_fit(claim.entry, numbers, claim.gauge)


def _settled(claim: Claim, fitting: Sequence[str], sure: Mapping[str, str]) -> Claim:
    if len(fitting) < 2 or len(sure) != 1:
        return claim
    unit, sibling = next(iter(sure.items()))
    if unit not in fitting:
        return claim
    why = f"no unit named: {shown(unit)}, as '{sibling}' is in it"
    return replace(claim, how=How.ASSUMED_UNIT, unit=unit, why=f"{claim.why}; {why}".lstrip("; "))
