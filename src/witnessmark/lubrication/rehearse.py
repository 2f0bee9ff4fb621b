"""A made-up drive on a known oil system: what its log would show. For benchmarks and figures."""

from dataclasses import dataclass

import numpy as np

from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.lubrication.system import OilSystem
from witnessmark.model.log import Floats, Source
from witnessmark.physics.lag import follow

_STEP = 0.5  # s
_PSI = 6894.757  # Pa
_WAVES = 12  # random waves that make one smooth miss


@dataclass(frozen=True)
class Sender:
    """How a gauge falsifies: lag [s], noise [Pa], step it counts in [Pa]."""

    lag: float = 1.0
    noise: float = 2e3
    step: float = _PSI


@dataclass(frozen=True)
class Miss:
    """A smooth share of the pressure by which an engine differs from any circuit.

    Sum of waves over ln speed and oil temperature; `of` gives the factor on the pressure.
    """

    size: Floats
    speed: Floats
    oil: Floats
    phase: Floats

    @classmethod
    def drawn(cls, sd: float, random: np.random.Generator) -> "Miss":
        """One at random; sd as a share of the pressure. Waves as long as 50 % of speed, 20 K."""
        size = random.normal(scale=sd * np.sqrt(2 / _WAVES), size=_WAVES)
        return cls(size, random.normal(scale=1 / 0.4, size=_WAVES),
                   random.normal(scale=1 / 20, size=_WAVES),
                   random.uniform(0, 2 * np.pi, _WAVES))  # fmt: skip

    def of(self, speed: Floats, temperature: Floats) -> Floats:
        """Factor on the pressure, same shape as speed [rev/s] and temperature [K]."""
        angle = np.log(speed)[:, None] * self.speed + temperature[:, None] * self.oil + self.phase
        return np.asarray(1 + np.cos(angle) @ self.size)


def rehearse(
    system: OilSystem, random: np.random.Generator, seconds: float = 1200.0,
    sender: Sender | None = None, misses: tuple[Miss, ...] = (),
) -> Readings:  # fmt: skip
    """The log of a drive that nobody drove: idle, cruise, pulls, oil warming up.

    Parameters
    ----------
    system : The engine; one, not samples.
    random : The drive, the weather and the noise come from it.
    seconds : Length of the log.
    sender : How the gauge falsifies.
    misses : Shares by which the engine differs from the circuit.

    Returns
    -------
    Readings, two a second, all usable after ten seconds.
    """
    gauge = sender or Sender()
    time = np.arange(0.0, seconds, _STEP)
    speed = _driven(len(time), system.rated, random)
    oil = _warmed(time, speed / system.rated, random)
    true = system.gauge(speed, oil)
    for miss in misses:
        true = true * miss.of(speed, oil)
    shown = follow(time, true, gauge.lag) + random.normal(scale=gauge.noise, size=len(time))
    shown = np.round(shown / gauge.step) * gauge.step
    source = Source("made-up drive", "0" * 64, 0, len(time))
    return Readings(source, time, speed, oil, shown, time >= 10.0)


def _driven(count: int, rated: float, random: np.random.Generator) -> Floats:
    """Engine speed: held for a while, then on to the next; a fifth of it idle. [rev/s]"""
    idle = 0.135 * rated
    wanted = np.empty(count)
    at = 0
    while at < count:
        hold = int(random.uniform(4, 30) / _STEP)
        wanted[at : at + hold] = (
            idle if random.random() < 0.2 else random.uniform(0.2, 0.75) * rated
        )
        at += hold
    time: Floats = np.arange(float(count)) * _STEP
    return follow(time, wanted, 1.2) + random.normal(scale=0.1, size=count)


def _warmed(time: Floats, work: Floats, random: np.random.Generator) -> Floats:
    """Oil temperature: from a lukewarm start to what the driving makes of it. [K]"""
    begin, end = random.uniform(315, 345), random.uniform(355, 368)
    settled = end + 25 * (follow(time, work, 120.0) - 0.35)
    return np.asarray(settled + (begin - settled) * np.exp(-time / random.uniform(180, 400)))
