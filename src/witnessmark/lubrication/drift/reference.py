"""The engine as it was: what later logs are held against."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from witnessmark.lubrication.calibration.posterior import Posterior
from witnessmark.lubrication.calibration.readings import Blocks, Readings, blocks, follow
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.system import PARAMETERS
from witnessmark.model.log import Floats


@dataclass(frozen=True)
class Spells:
    """Blocks of readings and how much the speed swings within each. [rev/s]"""

    blocks: Blocks
    unrest: Floats


def spells(logs: tuple[Readings, ...], lag: float, terms: FitTerms) -> Spells:
    """The usable samples of logs in blocks; lag of the sender [s]."""
    found = blocks(logs, lag, terms)
    squares = tuple(replace(log, speed=follow(log.time, log.speed, lag) ** 2) for log in logs)
    square = blocks(squares, 0.0, terms).speed
    return Spells(found, np.sqrt(np.maximum(square - found.speed**2, 0.0)))


_LAGS = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0)  # s; senders and their damping lie between


@dataclass(frozen=True)
class Reference:
    """An engine's oil system and how surely it is known, as standard normals of its prior.

    best (parameters,): where the circuit is linearised; mean and covariance: what is known of the
    parameters without `spells`; spells: the reference's own readings, None where only its
    calibration was kept, and then misses that both logs share do not cancel. lag of the sender [s].
    """

    prior: Prior
    best: Floats
    mean: Floats
    covariance: Floats
    lag: float
    spells: Spells | None


def from_logs(prior: Prior, logs: tuple[Readings, ...], best: Floats, lag: float,
              terms: FitTerms) -> Reference:  # fmt: skip
    """The reference of logs whose best fit is known: the build's prior, and the readings beside it.

    Parameters
    ----------
    prior : What the build gives.
    logs : The readings the fit was made of.
    best, lag : The fit's.
    terms : How readings are put together.
    """
    nothing, unit = np.zeros(len(PARAMETERS)), np.eye(len(PARAMETERS))
    return Reference(prior, best, nothing, unit, lag, spells(logs, lag, terms))


def from_cloud(prior: Prior, best: Floats, cloud: Floats, lag: float) -> Reference:
    """The reference of a calibration whose readings are gone: its best fit and its cloud."""
    return Reference(prior, best, cloud.mean(axis=0), np.cov(cloud.T), lag, None)


def quick_reference(
    prior: Prior, logs: tuple[Readings, ...], terms: FitTerms, seed: int = 0
) -> Reference:
    """As `from_logs`, with a best fit made here: no ranges are drawn, so it takes a second."""
    random = np.random.default_rng(seed)
    starts = [np.zeros(len(PARAMETERS))]
    starts += [0.7 * random.normal(size=len(PARAMETERS)) for _ in range(int(terms.starts) - 1)]
    lags = [lag for lag in _LAGS if lag <= terms.slowest_sender]
    at_once = [_best(Posterior.of(prior, blocks(logs, lag, terms), terms), starts[:1])
               for lag in lags]  # fmt: skip
    lag = lags[int(np.argmin([cost for cost, _ in at_once]))]
    _, best = _best(Posterior.of(prior, blocks(logs, lag, terms), terms), starts)
    return from_logs(prior, logs, best, lag, terms)


def _best(posterior: Posterior, starts: list[Floats]) -> tuple[float, Floats]:
    """Cost and place of the best fit from any start."""
    found = [
        least_squares(lambda u: posterior.residuals(u)[0], start, posterior.slopes, max_nfev=60)
        for start in starts
    ]
    best = min(found, key=lambda each: float(each.cost))
    return float(best.cost), best.x
