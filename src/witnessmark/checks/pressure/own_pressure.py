"""The oil pressure this engine should show, for every sample of a log."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from witnessmark.checks.terms import Terms, revolutions, seconds
from witnessmark.model.expected_pressure import HIGHEST, LOW, LOWEST, PressureTable
from witnessmark.model.log import Floats, Log, Mask
from witnessmark.model.said import Values
from witnessmark.physics.windows import trailing_lowest
from witnessmark.units import Kind, Quantity

OIL = "oil_temperature"
OfAny = Callable[[int, Floats, float], Floats]  # a quantile on oil of any temperature


@dataclass(frozen=True)
class OwnPressure:
    """The band of an engine held against one log.

    `running`: where the engine turns by itself; `settled`: where its start lies behind it.
    """

    log: Log
    terms: Terms
    band: PressureTable
    running: Mask
    settled: Mask

    @cached_property
    def floor(self) -> Floats:
        """The lowest line at the slowest speed of the seconds before each sample. [Pa] (n,)

        The lowest on oil of any temperature where the log shows none. NaN where nothing is
        foretold, or the engine does not run.
        """
        return np.asarray(self._floors[0])

    @cached_property
    def low(self) -> Floats:
        """The same of the line 95 of 100 stay over. [Pa] (n,)"""
        return np.asarray(self._floors[1])

    @cached_property
    def top(self) -> Floats:
        """As `floor`: the highest line, at the fastest speed of those seconds. [Pa] (n,)"""
        log = self.log
        speed = -trailing_lowest(log.time, -log["engine_speed"], self._window)
        line = self._lines((HIGHEST,), speed, -1, self.band.top_of_any)[0]
        return np.where(self.band.inside_speed(speed), line, np.nan)

    @property
    def hottest(self) -> float:
        """Hottest oil the phase allows, else the hottest the band knows. [K]"""
        ceiling = self.terms.phase.ceilings.get(OIL)
        return min(ceiling.value.value, self._ends[1]) if ceiling else self._ends[1]

    def basis(self) -> str:
        """What the lines rest on, as sentences with {slots}."""
        text = f" Worked out for this engine, {self.band.basis}."
        if OIL not in self.log:
            text += (
                " The log shows no oil temperature: taken for any oil from {coldest} to {hottest}, "
                "the widest it can be."
            )
        elif bool(np.isnan(self.log[OIL][self.running]).any()):
            text += " Where the oil temperature has gaps: taken for any oil up to {hottest}."
        return text + self._unjudged()

    def numbers(self) -> dict[str, Quantity | str]:
        """Values for the slots of `basis`."""
        ends = [*self._ends, self.hottest]
        coldest, outer, hottest = (Quantity(end, Kind.TEMPERATURE) for end in ends)
        slow, fast = (revolutions(self.band.speed[i]) for i in (0, -1))
        whole = self.log.total(self._unknown)
        return {
            "coldest": coldest, "hottest": hottest, "outer": outer, "slowest": slow,
            "fastest": fast, "unjudged": seconds(whole),
        }  # fmt: skip

    def state(self, sample: int) -> tuple[str, Values]:
        """Where a sample was read: "at {speed} on oil of {oil}"."""
        log = self.log
        speed = revolutions(float(log["engine_speed"][sample]))
        oil = float(log[OIL][sample]) if OIL in log else float("nan")
        if np.isnan(oil):
            return "at {speed}", {"speed": speed}
        return "at {speed} on oil of {oil}", {
            "speed": speed, "oil": Quantity(oil, Kind.TEMPERATURE)
        }  # fmt: skip

    @property
    def _window(self) -> float:
        """How long pressure may take to follow speed. [s]"""
        terms = self.terms
        return max(terms["pressure_lag"], terms["lags_to_settle"] * self.band.lag)

    @property
    def _ends(self) -> tuple[float, float]:
        return self.band.temperature[0], self.band.temperature[-1]

    @cached_property
    def _outside(self) -> Mapping[str, Mask]:
        """Running where nothing is foretold, by the reason in words."""
        log, band = self.log, self.band
        speed = log["engine_speed"]
        found = {
            "speed under {slowest}": speed < band.speed[0],
            "speed over {fastest}": speed > band.speed[-1],
        }
        if OIL in log:
            found["oil under {coldest}"] = log[OIL] < self._ends[0]
            found["oil over {outer}"] = log[OIL] > self._ends[1]
        return {reason: mask & self.settled for reason, mask in found.items()}

    @cached_property
    def _unknown(self) -> Mask:
        """Running where nothing is foretold, for any reason."""
        return np.asarray(np.any([*self._outside.values()], axis=0))

    @cached_property
    def _floors(self) -> Floats:
        log, places = self.log, (LOWEST, LOW)
        speed = trailing_lowest(log.time, log["engine_speed"], self._window)
        return self._lines(places, speed, 1, self.band.floor_of_any)

    def _lines(self, places: tuple[int, ...], speed: Floats, side: int, of_any: OfAny) -> Floats:
        """Quantiles at speeds and at the oil of the log. `side`: 1 for the hotter, -1 for the
        colder oil of the time the engine takes to follow its thermometer."""
        log = self.log
        lines, gaps = np.empty((len(places), len(speed))), np.ones(len(speed), dtype=bool)
        if OIL in log:
            oil, soak = log[OIL], self.terms["lags_to_settle"] * self.band.soak
            if soak > 0:
                oil = -side * trailing_lowest(log.time, -side * oil, soak)
            lines, gaps = self.band.lines(places, speed, oil), np.isnan(oil)
        if gaps.any():
            lines[:, gaps] = [of_any(place, speed[gaps], self.hottest) for place in places]
        lines[:, ~self.running | self._unknown] = np.nan
        return lines

    def _unjudged(self) -> str:
        least = self.terms["floor_grace"]
        told = [r for r, mask in self._outside.items() if self.log.total(mask) > least]
        if not told:
            return ""
        return f" Not judged for {{unjudged}}: {', '.join(told)}, where nothing is foretold."
