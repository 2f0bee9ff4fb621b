"""What went by in a moment of a verdict: distance, turns, how far into the drive."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from witnessmark.model.log import Floats, Log, Passed, Span
from witnessmark.units import Kind, Preferences, Quantity, show


@dataclass(frozen=True)
class Odometer:
    """Distance and turns up to each sample of a log, summed once for all its moments."""

    log: Log

    def passed(self, span: Span) -> Passed:
        """As `Log.passed`, without going over the samples again."""
        part = self.log.at(span)
        time, turns, road = (self._between(total, part) for total in self._totals)
        return Passed(time or 0.0, turns, road)

    def before(self, moment: float) -> float | None:
        """Distance from the log's first sample to a moment, None without a road speed. [m]"""
        first = int(np.searchsorted(self.log.time, moment, side="left"))
        return self._between(self._totals[2], slice(0, first))

    @staticmethod
    def _between(total: Floats | None, part: slice) -> float | None:
        return None if total is None else float(total[part.stop] - total[part.start])

    @cached_property
    def _totals(self) -> tuple[Floats | None, Floats | None, Floats | None]:
        """Seconds, turns and metres before each sample and at the end, shape (n + 1,)."""
        log = self.log
        rates = (np.ones(len(log.time)), log.channels.get("engine_speed"),
                 log.channels.get("road_speed"))  # fmt: skip
        first, second, third = (None if r is None else _before(r * log.held) for r in rates)
        return first, second, third


def _before(amounts: Floats) -> Floats:
    total: Floats = np.zeros(len(amounts) + 1)
    np.cumsum(np.nan_to_num(amounts), out=total[1:])
    return total


def passed_words(passed: Passed, prefer: Preferences) -> str:
    """ "1.2 km, 3,400 turns", with what the log shows of it."""
    parts = []
    if passed.distance is not None:
        parts.append(show(Quantity(passed.distance, Kind.DISTANCE), prefer))
    if passed.revolutions is not None:
        parts.append(f"{passed.revolutions:,.0f} turns")
    return ", ".join(parts)


def into_words(before: float | None, prefer: Preferences) -> str:
    """ "4.1 km into the drive"; "" without a road speed."""
    if before is None:
        return ""
    return f"{show(Quantity(before, Kind.DISTANCE), prefer)} into the drive"
