"""Units of the trade into SI and back: the only module that knows a unit by name.

A *kind* is what a number measures. It fixes the SI unit we compute in and the units a
person may see it in. Engine speed is a rotational frequency in revolutions per second
(ISO 80000-3). Gauge and absolute pressure are two kinds, because only the person who reads
the gauge knows which one it shows; temperature and temperature difference are two kinds,
because 10 °C of rise is not 50 °F of rise.
"""

import math
import re
import tomllib
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.errors import UserError


class Kind(StrEnum):
    """What a number measures; the value is the word used in data files."""

    ROTATIONAL_SPEED = "rotational speed"
    PRESSURE = "gauge pressure"
    ABSOLUTE_PRESSURE = "absolute pressure"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    LENGTH = "length"
    CLEARANCE = "clearance"
    ROUGHNESS = "roughness"
    DISTANCE = "distance"
    ROAD_SPEED = "road speed"
    PISTON_SPEED = "piston speed"
    ACCELERATION = "acceleration"
    DURATION = "duration"
    RUNNING_TIME = "running time"
    CALENDAR_TIME = "calendar time"
    ANGLE = "angle"
    VOLUME = "volume"
    DISPLACEMENT = "displacement per turn"
    MASS = "mass"
    FORCE = "force"
    TORQUE = "torque"
    DENSITY = "density"
    KINEMATIC_VISCOSITY = "kinematic viscosity"
    DYNAMIC_VISCOSITY = "dynamic viscosity"
    PRESSURE_PER_FLOW = "pressure per flow"
    PER_LENGTH = "number per length"
    ENERGY_PER_MASS = "energy per mass"
    MASS_FLOW = "mass flow"
    VOLUME_FLOW = "volume flow"
    VOLTAGE = "voltage"
    MIXTURE = "mixture"
    FRACTION = "fraction"
    RATIO = "ratio"
    COUNT = "count"


# The unit each kind is computed in. Revolutions are counted, not turned into radians.
SI: dict[Kind, str] = {
    Kind.ROTATIONAL_SPEED: "turn/s",
    Kind.PRESSURE: "Pa",
    Kind.ABSOLUTE_PRESSURE: "Pa",
    Kind.TEMPERATURE: "K",
    Kind.TEMPERATURE_DIFFERENCE: "delta_degC",
    Kind.LENGTH: "m",
    Kind.CLEARANCE: "m",
    Kind.ROUGHNESS: "m",
    Kind.DISTANCE: "m",
    Kind.ROAD_SPEED: "m/s",
    Kind.PISTON_SPEED: "m/s",
    Kind.ACCELERATION: "m/s^2",
    Kind.DURATION: "s",
    Kind.RUNNING_TIME: "s",
    Kind.CALENDAR_TIME: "s",
    Kind.ANGLE: "rad",
    Kind.VOLUME: "m^3",
    Kind.DISPLACEMENT: "m^3",
    Kind.MASS: "kg",
    Kind.FORCE: "N",
    Kind.TORQUE: "N*m",
    Kind.DENSITY: "kg/m^3",
    Kind.KINEMATIC_VISCOSITY: "m^2/s",
    Kind.DYNAMIC_VISCOSITY: "Pa*s",
    Kind.PRESSURE_PER_FLOW: "Pa*s/m^3",
    Kind.PER_LENGTH: "1/m",
    Kind.ENERGY_PER_MASS: "J/kg",
    Kind.MASS_FLOW: "kg/s",
    Kind.VOLUME_FLOW: "m^3/s",
    Kind.VOLTAGE: "V",
    Kind.MIXTURE: "1",
    Kind.FRACTION: "1",
    Kind.RATIO: "1",
    Kind.COUNT: "1",
}

# What a person is shown when he chose nothing, and how many decimals are worth reading.
_SHOWN: dict[Kind, tuple[str, int]] = {
    Kind.ROTATIONAL_SPEED: ("rpm", 0),
    Kind.PRESSURE: ("kPa", 0),
    Kind.ABSOLUTE_PRESSURE: ("kPa", 0),
    Kind.TEMPERATURE: ("°C", 0),
    Kind.TEMPERATURE_DIFFERENCE: ("°C", 0),
    Kind.LENGTH: ("mm", 2),
    Kind.CLEARANCE: ("µm", 0),
    Kind.ROUGHNESS: ("µm", 2),
    Kind.DISTANCE: ("km", 1),
    Kind.ROAD_SPEED: ("km/h", 0),
    Kind.PISTON_SPEED: ("m/s", 1),
    Kind.ACCELERATION: ("m/s²", 1),
    Kind.DURATION: ("s", 1),
    Kind.RUNNING_TIME: ("h", 1),
    Kind.CALENDAR_TIME: ("days", 0),
    Kind.ANGLE: ("°", 1),
    Kind.VOLUME: ("L", 2),
    Kind.DISPLACEMENT: ("cm³", 1),
    Kind.MASS: ("kg", 1),
    Kind.FORCE: ("N", 0),
    Kind.TORQUE: ("N·m", 0),
    Kind.DENSITY: ("kg/m³", 0),
    Kind.KINEMATIC_VISCOSITY: ("mm²/s", 1),
    Kind.DYNAMIC_VISCOSITY: ("mPa·s", 2),
    Kind.PRESSURE_PER_FLOW: ("kPa/(L/min)", 2),
    Kind.PER_LENGTH: ("1/m", 0),
    Kind.ENERGY_PER_MASS: ("MJ/kg", 1),
    Kind.MASS_FLOW: ("g/s", 1),
    Kind.VOLUME_FLOW: ("L/min", 1),
    Kind.VOLTAGE: ("V", 1),
    Kind.MIXTURE: ("lambda", 2),
    Kind.FRACTION: ("%", 0),
    Kind.RATIO: ("", 2),
    Kind.COUNT: ("", 0),
}


def _data(name: str) -> dict[str, Any]:
    return tomllib.loads(files("witnessmark").joinpath(name).read_text("utf-8"))


# Spellings met on sheets and in log headers -> the one name we know the unit by.
_SPELLINGS: dict[str, str] = {
    text: name for name, texts in _data("unit_spellings.toml").items() for text in texts
}

_GAUGE = re.compile(r"(?:psi|bar|kpa) ?g(?![a-z])|\(g\)|\bgauge\b|\brel", re.IGNORECASE)
_ABSOLUTE = re.compile(r"(?:psi|bar|kpa) ?a(?![a-z])|\(a\)|\babs", re.IGNORECASE)
_AMOUNT = re.compile(r"^\s*([+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")


@dataclass(frozen=True)
class Quantity:
    """A number in SI and what it measures; a face turns it into the reader's unit."""

    value: float
    kind: Kind


@dataclass(frozen=True)
class Scale:
    """SI = value * factor + offset. Both in the SI unit of the kind asked for."""

    factor: float
    offset: float


@cache
def _sizes() -> dict[str, dict[str, Scale]]:
    """SI unit -> unit -> its size. A library of units takes half a second to say the same."""
    return {
        si: {
            name: Scale(*size) if isinstance(size, list) else Scale(size, 0.0)
            for name, size in sizes.items()
        }
        for si, sizes in _data("unit_sizes.toml").items()
    }


def known_unit(text: str) -> str | None:
    """The one name of a unit as people write it, or None. [-]"""
    plain = " ".join(text.strip().lower().split())
    return _SPELLINGS.get(plain) or (_SPELLINGS.get(plain[:-1]) if plain[-1:] == "." else None)


def pressure_reference(unit: str) -> Kind | None:
    """Whether a pressure unit says of itself that it is gauge or absolute (psig, bar(a))."""
    if _GAUGE.search(unit):
        return Kind.PRESSURE
    if _ABSOLUTE.search(unit):
        return Kind.ABSOLUTE_PRESSURE
    return None


@cache
def scale(unit: str, kind: Kind) -> Scale | None:
    """Factor and offset from a unit as written to the SI unit of a kind; None if it is not one.

    A bare gauge pressure keeps its zero: nothing here adds the atmosphere.
    """
    name = known_unit(unit)
    if name is None:
        return None
    if kind is Kind.TEMPERATURE_DIFFERENCE:
        name = {"degC": "delta_degC", "degF": "delta_degF", "kelvin": "delta_degC"}.get(name, name)
    return _sizes()[SI[kind]].get(name)


def units_of(kind: Kind) -> tuple[str, ...]:
    """Spellings accepted for a kind, for error texts that list the choices."""
    return tuple(text for text in _SPELLINGS if text and scale(text, kind) is not None)


def parse(text: str, kind: Kind, where: str) -> Quantity:
    """Read "0.0022 in" or "75 psi" as a quantity of the kind wanted.

    Raises UserError naming `where` when the number, the unit or the dimension is wrong.
    """
    plain = kind in (Kind.RATIO, Kind.COUNT, Kind.MIXTURE)
    match = _AMOUNT.match(text)
    example = _example(kind)
    if match is None:
        raise UserError(
            where, f"'{text}' is not a number with a unit", f"{_a(kind)} is wanted",
            f"Write it as {example}, with a dot for the decimal",
        )  # fmt: skip
    number, unit = float(match[1]), match[2]
    found = scale(unit, kind) if unit or plain else None
    if found is None:
        said = f"'{text}' has no unit" if not unit else f"'{unit}' in '{text}' does not fit"
        raise UserError(where, said, f"{_a(kind)} is wanted", f"Write it as {example}")
    return Quantity(number * found.factor + found.offset, kind)


def _a(kind: Kind) -> str:
    return f"an {kind.value}" if kind.value[0] in "aeiou" else f"a {kind.value}"


def _example(kind: Kind) -> str:
    unit, _ = _SHOWN[kind]
    return f"'12 {unit}'" if unit else "'12'"


@dataclass(frozen=True)
class Preferences:
    """The units a person thinks in, chosen once (build sheet [units], or --units)."""

    pressure: str = "kPa"
    temperature: str = "°C"
    distance: str = "km"
    mixture: str = "lambda"
    clearance: str = "µm"

    def unit(self, kind: Kind) -> str:
        """The unit this person is shown a kind in."""
        mile = self.distance == "mi"
        chosen = {
            Kind.PRESSURE: self.pressure,
            Kind.ABSOLUTE_PRESSURE: self.pressure,
            Kind.TEMPERATURE: self.temperature,
            Kind.TEMPERATURE_DIFFERENCE: self.temperature,
            Kind.DISTANCE: self.distance,
            Kind.ROAD_SPEED: "mph" if mile else "km/h",
            Kind.CLEARANCE: self.clearance,
            Kind.MIXTURE: self.mixture,
        }
        return chosen.get(kind, _SHOWN[kind][0])


CHOICES: dict[str, tuple[str, ...]] = {
    "pressure": ("psi", "bar", "kPa"),
    "temperature": ("°C", "°F"),
    "distance": ("km", "mi"),
    "mixture": ("lambda", "AFR"),
    "clearance": ("µm", "mm", "in"),
}

# Decimals where the unit, not the kind, decides.
_DECIMALS = {"bar": 1, "in": 4, "mm": 3, "inHg": 1}
# Kinds shown without decimals where they are whole, and kinds whose little is not nothing.
_WHOLE = (Kind.LENGTH, Kind.ANGLE)
_SHORT_WAY = 0.1  # km or mi: under it a distance is shown in metres or feet
_NEVER_NOTHING = (Kind.PRESSURE, Kind.ABSOLUTE_PRESSURE)
STOICHIOMETRIC_PETROL = 14.7  # kg air per kg E0 petrol; common practice on gauges


def shown_value(quantity: Quantity, prefer: Preferences) -> tuple[float, str]:
    """The number and unit a person is shown for a quantity."""
    unit = prefer.unit(quantity.kind)
    if quantity.kind is Kind.MIXTURE:
        afr = unit == "AFR"
        return quantity.value * (STOICHIOMETRIC_PETROL if afr else 1.0), "AFR" if afr else "λ"
    found = scale(unit, quantity.kind)
    assert found is not None, (unit, quantity.kind)
    return (quantity.value - found.offset) / found.factor, unit


def show(quantity: Quantity, prefer: Preferences) -> str:
    """A quantity as a person reads it: "34 psi", "1 min 30 s", "12 %"."""
    if math.isnan(quantity.value):
        return "not known"
    if quantity.kind is Kind.DURATION:
        return _clock(quantity.value)
    value, unit = shown_value(quantity, prefer)
    if quantity.kind is Kind.DISTANCE and 0 < abs(value) < _SHORT_WAY:
        return _short_way(quantity.value, unit)
    decimals = _SHOWN[quantity.kind][1]
    if quantity.kind is not Kind.LENGTH:  # a length in mm needs no thousandths
        decimals = _DECIMALS.get(unit, decimals)
    if (
        quantity.kind in (Kind.RUNNING_TIME, Kind.CALENDAR_TIME, Kind.DISTANCE)
        and abs(value - round(value)) < 0.05
    ):
        decimals = 0
    if quantity.kind in _WHOLE and abs(value - round(value)) < 1e-6:
        decimals = 0
    if quantity.kind in _NEVER_NOTHING and 0 < abs(value) < 10**-decimals / 2:
        decimals += 1  # 3 kPa is 0.4 psi, not 0 psi
    thousands = "," if abs(value) >= 1000 else ""
    number = f"{round(value, decimals) + 0.0:{thousands}.{decimals}f}"  # never "-0"
    mark = {Kind.ABSOLUTE_PRESSURE: " abs"}.get(quantity.kind, "")
    return f"{number} {unit}".strip() + mark


def _short_way(metres: float, unit: str) -> str:
    """A distance too short for its unit: "40 m", "130 ft"."""
    small = "ft" if unit == "mi" else "m"
    found = scale(small, Kind.DISTANCE)
    assert found is not None
    return f"{metres / found.factor:.0f} {small}"


def _clock(seconds: float) -> str:
    if abs(seconds) < 60:
        decimals = 1 if abs(seconds) < 10 and abs(seconds - round(seconds)) > 0.05 else 0
        if 0 < abs(seconds) < 0.095:
            decimals = 2  # a reading every 0.04 s does not come every 0.0 s
        return f"{seconds:.{decimals}f} s"
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    parts = ((hours, "h"), (minutes, "min"), (0 if hours else left, "s"))
    return " ".join(f"{n} {unit}" for n, unit in parts if n)
