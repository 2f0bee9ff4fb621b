"""The tuner's units: the words people write for them, and how channels are shown in them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from witnessmark.errors import UserError
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.log import Log
from witnessmark.units import CHOICES, SI, Kind, Preferences, Quantity, shown_value

# Words for a choice that are not its own spelling, and words that name what is chosen anyway.
_MEANT = {
    "c": "°C", "degc": "°C", "celsius": "°C", "f": "°F", "degf": "°F", "fahrenheit": "°F",
    "mph": "mi", "miles": "mi", "km/h": "km", "kph": "km", "kmh": "km", "λ": "lambda", "um": "µm",
}  # fmt: skip
_ALWAYS = ("rpm", "%", "v", "s")
_SI_WORDS = {"turn/s": "rev/s", "delta_degC": "K", "m/s^2": "m/s²", "m^3": "m³"}
_PRESSURES = {Kind.PRESSURE: "gauge", Kind.ABSOLUTE_PRESSURE: "abs"}


@dataclass(frozen=True)
class Shown:
    """How one channel stands in a table: shown = SI * factor + offset, in `unit`."""

    channel: str
    kind: Kind
    unit: str
    factor: float
    offset: float

    @property
    def head(self) -> str:
        """The column's name: "engine_speed [rpm]"."""
        return f"{self.channel} [{self.unit}]"

    @property
    def mark(self) -> str:
        """Name of the column that says which samples are fresh readings."""
        return f"{self.channel} fresh"


def read_units(text: str, base: Preferences, where: str) -> Preferences:
    """Units from a list as typed, "psi, F, mph, afr"; what is not named stays as in `base`.

    Raises UserError for a unit nobody offers, or two for one thing.
    """
    offered = {unit.lower(): unit for units in CHOICES.values() for unit in units}
    chosen: dict[str, str] = {}
    for word in filter(None, (part.strip() for part in text.split(","))):
        if word.lower() in _ALWAYS:
            continue
        unit = _MEANT.get(word.lower(), offered.get(word.lower(), ""))
        name = next((name for name, units in CHOICES.items() if unit in units), "")
        if not name or chosen.get(name, unit) != unit:
            found = f"'{word[:40]}' is not offered" if not name else f"two units for {name}"
            raise UserError(
                where, found, "any of psi, bar, kPa; C, F; km/h, mph; lambda, AFR; µm, mm, in",
                "Pick from these, one of each, parted by commas",
            )  # fmt: skip
        chosen[name] = unit
    return replace(base, **chosen)


def in_si(log: Log) -> tuple[Shown, ...]:
    """The log's channels as they are kept: SI, revolutions counted."""
    kinds = kinds_of(log)
    return tuple(
        Shown(name, kind, _with_zero(_SI_WORDS.get(SI[kind], SI[kind]), kind), 1.0, 0.0)
        for name, kind in kinds.items()
    )


def in_units(log: Log, prefer: Preferences) -> tuple[Shown, ...]:
    """The log's channels in a person's units."""
    made = []
    for name, kind in kinds_of(log).items():
        zero, unit = shown_value(Quantity(0.0, kind), prefer)
        one, _ = shown_value(Quantity(1.0, kind), prefer)
        made.append(Shown(name, kind, _with_zero(unit or "1", kind), one - zero, zero))
    return tuple(made)


def kinds_of(log: Log) -> Mapping[str, Kind]:
    """What each channel of a log measures, in the vocabulary's order."""
    known = vocabulary().entries
    return {name: e.channel.kind for name, e in known.items() if name in log}


def _with_zero(unit: str, kind: Kind) -> str:
    """A pressure says what it is counted from: the same number means two things otherwise."""
    return f"{unit} {_PRESSURES[kind]}" if kind in _PRESSURES else unit
