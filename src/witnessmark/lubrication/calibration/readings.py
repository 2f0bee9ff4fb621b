"""What of a log can teach an engine's oil pressure: warm enough, running, past its start."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from witnessmark.errors import UserError
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.model.log import Floats, Log, Mask, Source, Span
from witnessmark.physics.lag import follow
from witnessmark.units import Kind, Preferences, Quantity, show

_PAUSE = 10.0  # s; what a sample stands for at most
_SETTLING = 2.0  # s; a speed that its own two-second lag agrees with is settled
NEEDS = ("engine_speed", "oil_temperature", "oil_pressure")


@dataclass(frozen=True)
class Readings:
    """One log's oil readings; `usable` marks the samples to learn from. All shape (n,).

    time [s], speed [rev/s], temperature [K], pressure [Pa] as the sender shows it.
    """

    source: Source
    time: Floats
    speed: Floats
    temperature: Floats
    pressure: Floats
    usable: Mask

    def only(self, mask: Mask) -> Self:
        """The same log with fewer samples to learn from."""
        return type(self)(
            self.source, self.time, self.speed, self.temperature, self.pressure,
            self.usable & mask,
        )  # fmt: skip

    @property
    def seconds(self) -> float:
        """Time the usable samples stand for; a pause in recording counts for little. [s]"""
        held = np.diff(self.time, append=self.time[-1])
        return float(held[self.usable].clip(max=_PAUSE).sum())

    def halves(self, share: float) -> tuple[Self, Self]:
        """The samples before and after a share of the recording's time. share: 0 to 1. [-]"""
        first = self.time - self.time[0] < share * (self.time[-1] - self.time[0])
        return self.only(first), self.only(~first)


@dataclass(frozen=True)
class Observed:
    """What is taken from each stretch of some seconds of a log; shape (n,)."""

    speed: Floats  # [rev/s]
    temperature: Floats  # of the oil ways [K]
    pressure: Floats  # [Pa]


def readings(log: Log, terms: FitTerms) -> Readings:
    """The oil readings of a log, and which of them to learn from.

    Raises UserError when a channel is not in the log, the gauge shows nothing or never moves, or
    too little is left after cold oil, the start and the stopped engine are set aside.
    """
    missing = [name.replace("_", " ") for name in NEEDS if name not in log]
    if missing:
        raise UserError(
            log.source.name, f"it does not show {' and '.join(missing)}",
            "engine speed, oil temperature and oil pressure are wanted, all in one log",
            "Fit and log the sender, or name the column: --channel 'COLUMN=oil_pressure:kPa'",
        )  # fmt: skip
    speed, temperature, pressure = (log[name] for name in NEEDS)
    running = speed > terms.running_speed
    settled = running.copy()
    for span in log.spans(running):
        settled[log.at(Span(span.start, span.start + terms.start_settle))] = False
    warm = (temperature >= terms.coldest) & (temperature <= terms.hottest)
    usable = settled & warm & np.isfinite(pressure)
    _refuse(log, usable, terms)
    return Readings(log.source, log.time, speed, temperature, pressure, usable)


def _refuse(log: Log, usable: Mask, terms: FitTerms) -> None:
    shown, pressure = log.total(usable), log["oil_pressure"][usable]
    if shown < terms.least_time:
        coldest, hottest = (_said(t, Kind.TEMPERATURE) for t in (terms.coldest, terms.hottest))
        raise UserError(
            log.source.name, f"{_said(shown, Kind.DURATION)} of settled running with oil between "
            f"{coldest} and {hottest} and all three shown",
            f"at least {_said(terms.least_time, Kind.DURATION)} is wanted", "Log a longer run",
        )  # fmt: skip
    if np.ptp(pressure) < terms.least_change:
        stays = _said(float(pressure[0]), Kind.PRESSURE)
        raise UserError(
            log.source.name, f"the oil pressure stays at {stays} throughout",
            "a pressure that follows speed and temperature is wanted",
            "Look whether the sender is stuck or the column is the right one",
        )  # fmt: skip


def _said(value: float, kind: Kind) -> str:
    return show(Quantity(value, kind), Preferences())


def moments(logs: tuple[Readings, ...], terms: FitTerms, soak: float = 0.0) -> Observed:
    """The most settled usable moment of every stretch of equal time, at most so many.

    Consecutive samples say nearly the same, so a stretch counts as one observation. A mean over
    it would not do: pressure bends where the relief opens, and the mean of a bent line is not
    the line at the mean.
    """
    length = max(terms.block, sum(_duration(each) for each in logs) / terms.most_blocks)
    parts = []
    for log in logs:
        behind = follow(log.time, log.speed, _SETTLING)
        unsettled = np.abs(behind - log.speed) / np.maximum(log.speed, terms.running_speed)
        number = np.floor((log.time - log.time[0]) / length)
        at = np.flatnonzero(log.usable)
        order = at[np.lexsort((unsettled[at], number[at]))]
        picked = order[np.diff(number[order], prepend=-1.0) > 0]
        oil = follow(log.time, log.temperature, soak)
        parts.append([log.speed[picked], oil[picked], log.pressure[picked]])
    return Observed(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def blocks(logs: tuple[Readings, ...], lag: float, terms: FitTerms) -> Observed:
    """Means over the usable samples of every such stretch, the speed as a sender of this lag
    [s] follows it: right where speed hardly changes within a stretch.
    """
    length = max(terms.block, sum(_duration(each) for each in logs) / terms.most_blocks)
    parts = []
    for log in logs:
        speed = follow(log.time, log.speed, lag)
        number = np.floor((log.time - log.time[0]) / length)[log.usable]
        starts = np.flatnonzero(np.diff(number, prepend=-1.0) > 0)
        count = np.diff(np.append(starts, len(number)))
        parts.append([
            np.add.reduceat(values[log.usable], starts) / count
            for values in (speed, log.temperature, log.pressure)
        ])  # fmt: skip
    return Observed(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def _duration(log: Readings) -> float:
    shown = log.time[log.usable]
    return float(shown[-1] - shown[0]) if len(shown) else 0.0
