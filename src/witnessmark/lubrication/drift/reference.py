"""The engine as it was: what later logs are held against."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from witnessmark.lubrication.calibration.best import LAGS
from witnessmark.lubrication.calibration.posterior import Posterior
from witnessmark.lubrication.calibration.readings import Observed, Readings, blocks
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.system import PARAMETERS
from witnessmark.model.log import Floats, Mask
from witnessmark.physics.lag import follow


@dataclass(frozen=True)
class Spells:
    """Observed of readings and how much the speed swings within each. [rev/s]"""

    blocks: Observed
    unrest: Floats

    def only(self, mask: Mask) -> "Spells":
        """Some of the blocks."""
        of = self.blocks
        some = Observed(of.speed[mask], of.temperature[mask], of.pressure[mask])
        return Spells(some, self.unrest[mask])


def spells(logs: tuple[Readings, ...], lag: float, terms: FitTerms) -> Spells:
    """The usable samples of logs in blocks; lag of the sender [s].

    The soak of a calibration is left out on purpose: it rests on small differences, and a wrong
    one, applied to two drives that warmed differently, looks like a change.
    """
    found = blocks(logs, lag, terms)
    squares = tuple(replace(log, speed=follow(log.time, log.speed, lag) ** 2) for log in logs)
    square = blocks(squares, 0.0, terms).speed
    return Spells(found, np.sqrt(np.maximum(square - found.speed**2, 0.0)))


@dataclass(frozen=True)
class Reference:
    """An engine's oil system and how surely it is known, as standard normals of its prior.

    best (parameters,): where the circuit is linearised; mean and covariance: what is known of the
    parameters without `spells`; spells: the reference's own readings, None where only its
    calibration was kept, and then misses that both logs share do not cancel. lag of the sender [s];
    span: slowest and fastest engine [rev/s], coldest and hottest oil [K] it was learned from.
    """

    prior: Prior
    best: Floats
    mean: Floats
    covariance: Floats
    lag: float
    spells: Spells | None
    span: tuple[float, float, float, float]


def kept(
    logs: tuple[Readings, ...], lag: float, terms: FitTerms
) -> tuple[tuple[float, float, float, float], ...]:
    """Readings as a calibration keeps them, for `seen`; arguments as `spells`."""
    found = spells(logs, lag, terms)
    of = found.blocks
    rows = np.stack([of.speed, of.temperature, of.pressure, found.unrest], axis=1)
    return tuple((a, b, c, d) for a, b, c, d in rows.tolist())


def seen(rows: Sequence[tuple[float, float, float, float]]) -> Spells:
    """The readings a calibration kept."""
    speed, temperature, pressure, unrest = np.array(rows).T
    return Spells(Observed(speed, temperature, pressure), unrest)


def beside(prior: Prior, readings: Spells, best: Floats, lag: float) -> Reference:
    """The reference whose readings are at hand: the build's prior, and they beside it.

    Parameters
    ----------
    prior : What the build gives.
    readings : What the fit was made of.
    best, lag : The fit's.
    """
    nothing, unit = np.zeros(len(PARAMETERS)), np.eye(len(PARAMETERS))
    speed, oil = readings.blocks.speed, readings.blocks.temperature
    span = (float(speed.min()), float(speed.max()), float(oil.min()), float(oil.max()))
    return Reference(prior, best, nothing, unit, lag, readings, span)


def from_cloud(
    prior: Prior, best: Floats, cloud: Floats, lag: float, span: tuple[float, float, float, float]
) -> Reference:
    """The reference of a calibration whose readings are gone: its best fit and its cloud."""
    return Reference(prior, best, cloud.mean(axis=0), np.cov(cloud.T), lag, None, span)


def quick_reference(
    prior: Prior, logs: tuple[Readings, ...], terms: FitTerms, seed: int = 0
) -> Reference:
    """As `beside`, with a best fit made here: no ranges are drawn, so it takes a second."""
    random = np.random.default_rng(seed)
    starts = [np.zeros(len(PARAMETERS))]
    starts += [0.7 * random.normal(size=len(PARAMETERS)) for _ in range(int(terms.starts) - 1)]
    lags = [lag for lag in LAGS if lag <= terms.slowest_sender]
    at_once = [_best(Posterior.of(prior, blocks(logs, lag, terms), terms), starts[:1])
               for lag in lags]  # fmt: skip
    lag = lags[int(np.argmin([cost for cost, _ in at_once]))]
    _, best = _best(Posterior.of(prior, blocks(logs, lag, terms), terms), starts)
    return beside(prior, spells(logs, lag, terms), best, lag)


def _best(posterior: Posterior, starts: list[Floats]) -> tuple[float, Floats]:
    """Cost and place of the best fit from any start."""
    found = [
        least_squares(lambda u: posterior.residuals(u)[0], start, posterior.slopes, max_nfev=60)
        for start in starts
    ]
    best = min(found, key=lambda each: float(each.cost))
    return float(best.cost), best.x
