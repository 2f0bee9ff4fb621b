"""The oil pressure this engine should show, over engine speed and oil temperature."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from witnessmark.model.authority import Authority
from witnessmark.model.expected_pressure import Expected, between
from witnessmark.model.log import Floats
from witnessmark.model.plan import Assumption
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

REST = "rest"  # share of the spread that no parameter makes alone

# What a technician calls each parameter of an oil system.
SPOKEN: Mapping[str, str] = {
    "leak": "what the bearings leak",
    "feeds": "what jets and feed holes take",
    "relief_opening": "where the relief valve opens",
    "relief_gradient": "how pressure climbs past the relief valve",
    "relief_drag": "how thick oil holds the relief valve back",
    "relief_curtain": "the shape of the relief valve",
    "slip": "slip inside the pump",
    "losses": "what filter and passages take",
    "film_rise": "heat in the bearings",
    "viscosity": "how thick the oil really is",
    "pump": "what the pump moves",
    "sender_offset": "the sender's own error",
    REST: "several of these together",
}


class Shown(StrEnum):
    """What a reading says; there is no "OK" for an engine, only for a reading."""

    RIGHT = "right"
    LOW = "low"
    HIGH = "high"
    FAR_TOO_LOW = "far too low: stop"
    FAR_TOO_HIGH = "far too high"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class Judged:
    """Answer to one reading, in a sentence with its reason; None expected where none can be."""

    answer: Shown
    said: Said
    expected: Expected | None


@dataclass(frozen=True)
class PressureBand:
    """Quantiles of gauge pressure on a grid.

    speed [rev/s] (s,), temperature [K] of the oil (t,), pressure [Pa] (5, s, t) at QUANTILES,
    never under 0. `shares`: parameter -> share of the spread it makes alone [-], (s, t), with
    REST. `basis`: "from the build sheet alone"; `authority` who says so; `assumed` what the
    sheet left out; `relief` [Pa] the nominal opening pressure of the relief valve.
    """

    speed: Floats
    temperature: Floats
    pressure: Floats
    shares: Mapping[str, Floats]
    basis: str
    authority: Authority
    relief: float
    assumed: tuple[Assumption, ...] = ()

    def at(self, speed: float | Floats, temperature: float | Floats) -> Expected:
        """Expected pressure.

        Parameters
        ----------
        speed : Engine speed. [rev/s]
        temperature : Oil temperature. [K] Broadcast with speed.

        Returns
        -------
        Expected: straight lines between grid points, the edge outside. NaN stays NaN.
        """
        five = self._between(self.pressure, speed, temperature)
        s, t = np.asarray(speed), np.asarray(temperature)
        inside = (s >= self.speed[0]) & (s <= self.speed[-1])
        inside = inside & (t >= self.temperature[0]) & (t <= self.temperature[-1])
        return Expected(five[0], five[1], five[2], five[3], five[4], np.asarray(inside))

    def dominant(self, speed: float, temperature: float) -> tuple[tuple[str, float], ...]:
        """Parameters by the share of the spread each makes at a state, largest first."""
        shares = self._between(np.stack(list(self.shares.values())), speed, temperature)
        pairs = zip(self.shares, (float(share) for share in shares), strict=True)
        return tuple(sorted(pairs, key=lambda pair: -pair[1]))

    def overall(self) -> tuple[tuple[str, float], ...]:
        """The same as the mean over the grid, each state weighing by its own spread."""
        spread = (self.pressure[3] - self.pressure[1]) ** 2
        pairs = [(n, float(np.average(share, weights=spread))) for n, share in self.shares.items()]
        return tuple(sorted(pairs, key=lambda pair: -pair[1]))

    def judge(self, reading: float, speed: float, temperature: float) -> Judged:
        """What one gauge reading says.

        Parameters
        ----------
        reading : Gauge pressure. [Pa]
        speed : Engine speed. [rev/s]
        temperature : Oil temperature. [K]

        Returns
        -------
        Judged: right inside 5 to 95 %, low or high outside, far too low under 0.5 %, far too
        high over 99.5 %. Cannot tell where oil or speed lie outside what can be foretold; over
        the top speed the top speed's band is taken, and said so.
        """
        values = {
            "reading": Quantity(reading, Kind.PRESSURE),
            "speed": Quantity(speed, Kind.ROTATIONAL_SPEED),
            "oil": Quantity(temperature, Kind.TEMPERATURE),
        }
        silent = self._silent(reading, speed, temperature)
        if silent:
            return Judged(Shown.CANNOT_TELL, Said(silent, self._edges(values)), None)
        expected = self.at(speed, temperature)
        answer = _answer(reading, expected)
        said = self._edges(values) | {
            "low": Quantity(float(expected.low), Kind.PRESSURE),
            "high": Quantity(float(expected.high), Kind.PRESSURE),
        }
        widest = next(name for name, _ in self.dominant(speed, temperature) if name != REST)
        beyond = "" if expected.inside else " (taken at {fastest}, the fastest foretold)"
        text = (
            f"{{reading}} at {{speed}} on oil of {{oil}} is {answer.value}. {{low}} to {{high}} is "
            f"what 90 of 100 such builds show there{beyond}, {self.basis}; least certain: "
            f"{SPOKEN[widest]}.{_NEXT[answer]}"
        )
        return Judged(answer, Said(text, said), expected)

    def _silent(self, reading: float, speed: float, temperature: float) -> str:
        """Why nothing can be said of a state; "" where something can."""
        if not np.all(np.isfinite([reading, speed, temperature])):
            return "Cannot tell: pressure, engine speed and oil temperature are all needed."
        if temperature < self.temperature[0]:
            return (
                "Cannot tell: oil of {oil} is colder than {coldest}, where only an upper bound of "
                "its viscosity is known. Read again when it is warmer."
            )
        if temperature > self.temperature[-1]:
            return (
                "Cannot tell: oil of {oil} is hotter than {hottest}, where nothing is foretold. "
                "Stop and let it cool."
            )
        if speed < self.speed[0]:
            return (
                "Cannot tell: at {speed} an engine does not run by itself; nothing is foretold "
                "under {slowest}."
            )
        return ""

    def _edges(self, values: Mapping[str, Quantity]) -> dict[str, Quantity | str]:
        return {
            **values,
            "coldest": Quantity(float(self.temperature[0]), Kind.TEMPERATURE),
            "hottest": Quantity(float(self.temperature[-1]), Kind.TEMPERATURE),
            "slowest": Quantity(float(self.speed[0]), Kind.ROTATIONAL_SPEED),
            "fastest": Quantity(float(self.speed[-1]), Kind.ROTATIONAL_SPEED),
        }

    def _between(
        self, values: Floats, speed: float | Floats, temperature: float | Floats
    ) -> Floats:
        """Values (k, s, t) between grid points, shape (k, ...)."""
        return between(values, (self.speed, self.temperature), speed, temperature)


def _answer(reading: float, expected: Expected) -> Shown:
    if reading < expected.lowest:
        return Shown.FAR_TOO_LOW
    if reading < expected.low:
        return Shown.LOW
    if reading > expected.highest:
        return Shown.FAR_TOO_HIGH
    return Shown.HIGH if reading > expected.high else Shown.RIGHT


_NEXT = {
    Shown.RIGHT: "",
    Shown.LOW: " Look at oil level, grade and fuel in the oil, and read it on a second gauge.",
    Shown.HIGH: " Look whether oil and thermometer are what they should be, and read it on a "
    "second gauge.",
    Shown.FAR_TOO_LOW: " Fewer than 1 in 200 read so low: shut off, and do not start again "
    "before a mechanical gauge has proved the pressure.",
    Shown.FAR_TOO_HIGH: " Fewer than 1 in 200 read so high: let it idle, read it on a mechanical "
    "gauge, and look at the relief valve.",
}
