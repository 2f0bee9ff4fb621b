"""From the numbers of a column to SI: which unit they are in, and what they count from."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.logs.channels.mixture import decide
from witnessmark.logs.channels.naming import take_apart
from witnessmark.logs.channels.recognise import Claim, ask, join
from witnessmark.logs.channels.vocabulary import Entry
from witnessmark.model.channel import How
from witnessmark.model.log import Floats
from witnessmark.physics.atmosphere import STANDARD_ATMOSPHERE
from witnessmark.units import Kind, Scale, known_unit, pressure_reference, scale

# A running engine never draws its manifold this empty: readings below count from the
# atmosphere. Common practice, no published source.
_LEAST_ABSOLUTE = 9_000.0  # Pa
_LEAST_VACUUM = 10_000.0  # Pa; a manifold that shows any vacuum shows this much. Common practice
_SHARE_BELOW, _FEW_BELOW = 0.01, 3
_NO_READING = 1e100  # what a damaged cell may hold: no unit makes a reading of it
_ENOUGH = 100_000  # readings that stand for a whole column
_NEVER_SO_SLOW = (Kind.ROTATIONAL_SPEED,)  # kinds whose common size leaves no doubt
Idle = Callable[[Claim], Floats | None]


@dataclass(frozen=True)
class Measured:
    """A claim with its readings in SI. `taken`: the unit they were converted from."""

    claim: Claim
    values: Floats
    taken: str

    @property
    def entry(self) -> Entry:
        """The channel's entry; only claims that have one are measured."""
        assert self.claim.entry is not None
        return self.claim.entry


def measure(
    claim: Claim, numbers: Floats, atmosphere: Callable[[], tuple[float, str]], tank: str = "",
    idle: Idle | None = None,
) -> Measured:  # fmt: skip
    """Readings in SI, or the claim set aside with the reason. `numbers` may be written to.

    `atmosphere` gives pressure outside and where it is from, asked only when needed. [Pa]
    `tank`: the fuel, "" if nobody said. `idle`: gives a column's readings at idle, as written.
    """
    assert claim.entry is not None
    kind = claim.entry.channel.kind
    if kind is Kind.MIXTURE:
        return _mixture(claim, numbers, tank)
    found = _unit(claim, numbers)
    if isinstance(found, Claim):
        return Measured(found, numbers, "")
    claim, unit, factor = found
    values = convert(numbers, factor)
    if kind in (Kind.PRESSURE, Kind.ABSOLUTE_PRESSURE):
        return _pressure(claim, values, unit, kind, atmosphere, idle)
    return Measured(claim, values, unit)


def convert(numbers: Floats, by: Scale) -> Floats:
    """SI values, in the same array where it may be written to: copies of millions take time."""
    if by.factor == 1.0 and by.offset == 0.0:
        return numbers
    with np.errstate(over="ignore"):  # a damaged cell of 300 figures; no channel reaches so far
        values: Floats = np.multiply(
            numbers, by.factor, out=numbers if numbers.flags.writeable else None
        )
    if by.offset:
        values += by.offset
    return values


def known_scale(claim: Claim) -> Scale | None:
    """Factor and offset to SI where the file names a unit that settles it, else None."""
    if claim.entry is None or claim.entry.channel.kind is Kind.MIXTURE:
        return None
    kind = claim.entry.channel.kind
    if kind is Kind.COUNT:
        return scale(claim.unit, kind) or scale("", kind)
    return scale(claim.unit, kind) if claim.unit else None


def _unit(claim: Claim, numbers: Floats) -> tuple[Claim, str, Scale] | Claim:
    entry = claim.entry
    assert entry is not None
    kind = entry.channel.kind
    by = known_scale(claim)
    if by is not None and claim.how is How.NAMED and kind in _NEVER_SO_SLOW:
        denied = denied_unit(claim, numbers)
        if denied:
            said = f"names {claim.unit}, but no engine turns so slowly; {denied} would make sense"
            return claim.aside(f"{said}; if it is", denied)
    if by is not None:
        return claim, claim.unit, Scale(1.0, 0.0) if claim.column.si else by
    fitting = units_that_fit(entry, numbers, claim.gauge)
    if entry.flag and not np.nan_to_num(_some(numbers)).any():
        return (
            _assumed(claim, entry.units[0], "always 0: the same in any unit"),
            entry.units[0],
            (Scale(1.0, 0.0)),
        )
    if len(fitting) == 1:
        unit = fitting[0]
        by = scale(unit, kind)
        assert by is not None
        why = f"no unit named: {shown(unit)}, the only common one its values make sense in"
        return _assumed(claim, unit, why), unit, by
    return claim.aside(_asked(entry, fitting), (fitting or entry.units)[0])


def _assumed(claim: Claim, unit: str, why: str) -> Claim:
    return replace(claim, how=How.ASSUMED_UNIT, why=join(claim.why, why), unit=unit, sure=False)


def denied_unit(claim: Claim, numbers: Floats) -> str:
    """The one common unit that makes sense of readings to which the stated one gives none.

    "" if the stated unit makes sense, or none does, or several do. `numbers` as written.
    """
    entry = claim.entry
    assert entry is not None
    by = scale(claim.unit, entry.channel.kind)
    if by is None:
        return ""
    values = convert(_some(numbers).copy(), Scale(1.0, 0.0) if claim.column.si else by)
    fitting = units_that_fit(entry, (values - by.offset) / by.factor, claim.gauge)
    if len(fitting) != 1 or not _within(entry, values):
        return ""
    stated = known_unit(claim.unit)
    return "" if known_unit(fitting[0]) == stated else fitting[0]


def _asked(entry: Entry, fitting: Sequence[str]) -> str:
    """Why a column without a unit is not used."""
    units = " or ".join(map(shown, fitting or entry.units))
    tail = (
        f"its values make sense in {units}"
        if fitting
        else f"its values do not tell which ({units})"
    )
    title = entry.channel.title.lower()
    return f"looks like the {title}, but names no unit, and {tail}; say it, for example"


def shown(unit: str) -> str:
    """A unit as a word for a sentence."""
    return "a plain fraction" if unit == "1" else unit


def units_that_fit(entry: Entry, numbers: Floats, gauge: bool = False) -> list[str]:
    """The common units in which these numbers look like a whole real drive of this channel.

    `gauge`: the name says that it may count from the atmosphere; numbers below zero prove it.
    """
    finite = _some(numbers)
    if not finite.size:
        return []
    fitting = []
    for unit in entry.units:
        by = scale(unit, entry.channel.kind)
        if by is None:
            continue
        values = finite * by.factor + by.offset
        if gauge and finite.min() < 0:
            if np.percentile(values, 5) > -_LEAST_VACUUM:
                continue
            values += STANDARD_ATMOSPHERE
        if _usual(entry, values) and _within(entry, values):
            fitting.append(unit)
    return fitting


def looks_like(entry: Entry, numbers: Floats, by: Scale) -> bool:
    """Whether numbers in a unit look like a whole real drive of this channel; true for none."""
    finite = _some(numbers)
    values = finite * by.factor + by.offset
    return not finite.size or (_usual(entry, values) and _within(entry, values))


def _usual(entry: Entry, values: Floats) -> bool:
    """Whether most of a drive lies where it commonly does; true where nothing tells units apart."""
    if entry.usual_low is None or entry.usual_high is None:
        return True
    low, high = np.percentile(values, [5, 95])
    return bool(
        entry.usual_low[0] <= low <= entry.usual_low[1]
        and entry.usual_high[0] <= high <= entry.usual_high[1]
    )


def _within(entry: Entry, values: Floats) -> bool:
    """All but stray readings lie where this channel can be."""
    outside = (values < entry.channel.low) | (values > entry.channel.high)
    return float(outside.mean()) <= 0.01


def _mixture(claim: Claim, numbers: Floats, tank: str) -> Measured:
    """Lambda as it is, an air-fuel ratio by what its fuel burns with: values and fuel tell."""
    found = decide(claim, _some(numbers), tank)
    if isinstance(found, Claim):
        return Measured(found, numbers, "")
    afr, said, sure = found
    claim = _because(claim, said, sure)
    if afr == 1.0:
        return Measured(claim, numbers, "λ")
    return Measured(claim, convert(numbers, Scale(1 / afr, 0.0)), "AFR")


def _because(claim: Claim, said: str, sure: bool = True) -> Claim:
    """The claim with one more reason; not `sure` if the values alone gave it."""
    return replace(claim, why=join(claim.why, said), sure=claim.sure and sure)


def _pressure(
    claim: Claim, values: Floats, unit: str, kind: Kind,
    atmosphere: Callable[[], tuple[float, str]], idle: Idle | None,
) -> Measured:  # fmt: skip
    """Gauge or absolute, as the channel wants it, whatever the column counts from."""
    marked = pressure_reference(unit) or pressure_reference(claim.column.name)
    if marked is None and claim.how is not How.TOLD and _says_absolute(claim):
        marked = Kind.ABSOLUTE_PRESSURE
    gauge_wanted = kind is Kind.PRESSURE
    if gauge_wanted and marked is Kind.ABSOLUTE_PRESSURE:
        outside, source = atmosphere()
        said = f"absolute, so {_kpa(outside)} taken off ({source})"
        return Measured(_because(claim, said), values - outside, unit)
    if gauge_wanted or claim.entry is None or claim.entry.channel.name != "manifold_pressure":
        return Measured(claim, values, unit)
    if marked is Kind.PRESSURE:
        said, sure = "counted from the atmosphere", True
    elif marked is None and _counts_from_atmosphere(values) and not _draws(claim, unit, idle):
        said, sure = "its values can only be counted from the atmosphere", False
    elif marked is None and claim.gauge:
        return _named_gauge(claim, values, unit, idle)
    else:
        return Measured(claim, values, unit)
    outside, source = atmosphere()
    said = f"{said}: {_kpa(outside)} added ({source})"
    return Measured(_because(claim, said, sure), values + outside, unit)


def _named_gauge(claim: Claim, values: Floats, unit: str, idle: Idle | None) -> Measured:
    """Called boost, yet never at or under the atmosphere: absolute, if the log shows an idle."""
    if claim.how is How.TOLD:
        return Measured(_because(claim, "its values can only be absolute"), values, unit)
    assert claim.entry is not None
    slow = idle(claim) if idle is not None else None
    if slow is None or slow.size < _FEW_BELOW:
        said = "is called boost and never falls to 0, and the log shows no idle to tell by: it may "
        rest = f"count from the atmosphere, {ask(claim.column, claim.entry, f'{unit} gauge')}, or "
        aside = claim.aside(f"{said}{rest}be absolute", f"{unit} abs")
        return Measured(aside, values, unit)
    said = "its values can only be absolute: no engine makes boost at idle"
    return Measured(_because(claim, said, False), values, unit)


def _says_absolute(claim: Claim) -> bool:
    return "absolute" in take_apart(claim.column.name, claim.column.unit).words


def _some(values: Floats) -> Floats:
    """Readings from all over a column, enough to tell what kind they are."""
    thin = thinned(values)
    some: Floats = thin[np.abs(thin) < _NO_READING]
    return some


def thinned(values: Floats) -> Floats:
    """Of a long column every so many readings, evenly spread; a short one as it is."""
    return values if len(values) < 2 * _ENOUGH else values[:: len(values) // _ENOUGH]


def _counts_from_atmosphere(values: Floats) -> bool:
    """Enough readings no manifold can be at, if they were absolute; one may be damaged."""
    finite = _some(values)
    below = int((finite < _LEAST_ABSOLUTE).sum())
    return below >= max(_FEW_BELOW, _SHARE_BELOW * finite.size)


def _draws(claim: Claim, unit: str, idle: Idle | None) -> bool:
    """Whether every reading at idle is well above nought: no gauge shows that, so all are absolute.

    A few readings that no absolute pressure can have are then damage.
    """
    slow = idle(claim) if idle is not None else None
    by = Scale(1.0, 0.0) if claim.column.si else scale(unit, Kind.ABSOLUTE_PRESSURE)
    if slow is None or slow.size < _FEW_BELOW or by is None:
        return False
    return float(slow.min()) * by.factor >= _LEAST_ABSOLUTE


def _kpa(pascal: float) -> str:
    return f"{pascal / 1000:.1f} kPa"
