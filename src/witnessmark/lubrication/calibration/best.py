"""The best fit of an engine's oil system to its logs, with its sender's lag and its soak."""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import OptimizeResult, least_squares

from witnessmark.lubrication.calibration.posterior import Posterior
from witnessmark.lubrication.calibration.readings import Readings, moments
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.system import PARAMETERS, OilSystem
from witnessmark.model.log import Floats
from witnessmark.physics.lag import follow

_SOAKS = (0.0, 60.0, 120.0, 180.0, 240.0)  # s; a block of iron follows its oil by minutes
LAGS = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0)  # s; senders and their damping lie between
_ZERO = np.zeros(len(PARAMETERS))


@dataclass(frozen=True)
class Best:
    """Where the posterior is highest (parameters,), as standard normals of the prior.

    `tried`: the fit from every starting point, best first; lag of the sender and soak of the
    engine behind its thermometer [s].
    """

    posterior: Posterior
    tried: tuple[OptimizeResult, ...]
    lag: float
    soak: float

    @property
    def place(self) -> Floats:
        """The best of them."""
        return np.asarray(self.tried[0].x)


def best_fit(prior: Prior, logs: tuple[Readings, ...], terms: FitTerms, seed: int = 0) -> Best:
    """Fit from several starting points; arguments as `fit.fit`, no ranges."""
    random = np.random.default_rng(seed)

    def posterior_at(soak: float) -> Posterior:
        return Posterior.of(prior, moments(logs, terms, soak), terms)

    def cost(soak: float) -> float:
        return float(_from(posterior_at(soak), [_ZERO])[0].cost)

    soak = min((t for t in _SOAKS if t <= terms.longest_soak), key=cost)
    starts = [_ZERO, *random.normal(scale=0.7, size=(int(terms.starts) - 1, len(PARAMETERS)))]
    posterior = posterior_at(soak)
    tried = _from(posterior, starts)
    system = prior.system.vary(prior.by(tried[0].x))
    return Best(posterior, tuple(tried), _lag(system, logs, soak, terms), soak)


def _from(posterior: Posterior, starts: list[Floats]) -> list[OptimizeResult]:
    """The fit from every start, best first."""
    found = [
        least_squares(lambda u: posterior.residuals(u)[0], start, posterior.slopes, max_nfev=80)
        for start in starts
    ]
    return sorted(found, key=lambda each: float(each.cost))


def _lag(system: OilSystem, logs: tuple[Readings, ...], soak: float, terms: FitTerms) -> float:
    """The sender's lag with which a fitted system follows the gauge best, all samples taken."""
    at_once = []
    for log in logs:
        oil = follow(log.time, log.temperature, soak)
        shown = np.full(len(log.time), np.nan)
        shown[log.usable] = system.gauge(log.speed[log.usable], oil[log.usable])
        at_once.append(shown)

    def miss(lag: float) -> float:
        far = [
            (follow(log.time, shown, lag) - log.pressure)[log.usable]
            for log, shown in zip(logs, at_once, strict=True)
        ]
        return float(np.mean(np.abs(np.concatenate(far))))

    return min((t for t in LAGS if t <= terms.slowest_sender), key=miss)
