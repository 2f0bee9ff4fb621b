"""One engine's oil system from its logs: the best fit, and every fit nearly as good."""

from collections.abc import Callable
from dataclasses import dataclass

import emcee
import numpy as np
from scipy.optimize import OptimizeResult, least_squares

from witnessmark.lubrication.calibration.posterior import Posterior
from witnessmark.lubrication.calibration.readings import Readings, follow, moments
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.system import PARAMETERS, OilSystem
from witnessmark.model.log import Floats

_SOAKS = (0.0, 60.0, 120.0, 180.0, 240.0)  # s; a block of iron follows its oil by minutes
_LAGS = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0)  # s; senders and their damping lie between
_WALKERS = 160  # many short walks: the circuit solves large batches for little more
_WARM_UP, _KEPT, _EVERY = 120, 240, 20
Progress = Callable[[float], None]


@dataclass(frozen=True)
class Fit:
    """Best fit and cloud, as standard normals of the prior's spreads.

    best (parameters,); cloud (m, parameters); lag of the sender
    and soak of the engine behind its thermometer [s]; rms of the best fit's misfit
    over the moments [Pa]; tried: cost of the best fit from each starting point, least first;
    settled: how far the cloud's two halves differ, in its own spread, worst parameter [-].
    """

    prior: Prior
    best: Floats
    cloud: Floats
    lag: float
    soak: float
    rms: float
    tried: tuple[float, ...]
    settled: float

    @property
    def system(self) -> OilSystem:
        """The best fit's oil system."""
        return self.prior.system.vary(self.prior.by(self.best))

    @property
    def systems(self) -> OilSystem:
        """Every system of the cloud; its numbers have shape (m, 1) to broadcast over states."""
        return self.prior.system.vary(self.prior.by(self.cloud[:, None, :]))


def fit(
    prior: Prior, logs: tuple[Readings, ...], terms: FitTerms, seed: int = 0,
    progress: Progress = lambda share: None,
) -> Fit:  # fmt: skip
    """Fit an engine's oil system to the usable readings of its logs.

    Parameters
    ----------
    prior : What the build gives, and how surely.
    logs : Readings of one engine on one fill of oil.
    terms : What counts and how closely the circuit is believed.
    seed : Of the starting points and the sampler; the same gives the same answer.
    progress : Told the share done, 0 to 1.

    Source: robust maximum a posteriori fit from several starts; sampling by
    differential evolution, ter Braak (2006), of the emcee library.
    """
    random = np.random.default_rng(seed)

    def posterior_at(soak: float) -> Posterior:
        return Posterior.of(prior, moments(logs, terms, soak), terms)

    soaks = [t for t in _SOAKS if t <= terms.longest_soak]
    quick = {t: _best(posterior_at(t), [_ZERO])[0] for t in soaks}
    soak = min(soaks, key=lambda t: float(quick[t].cost))
    posterior = posterior_at(soak)
    starts = [_ZERO, *random.normal(scale=0.7, size=(int(terms.starts) - 1, len(PARAMETERS)))]
    found = _best(posterior, starts)
    progress(0.2)
    cloud, settled = _cloud(posterior, found[0], seed, progress)
    misfit = posterior.predicted(found[0].x[None])[0] - posterior.moments.pressure
    lag = _lag(prior.system.vary(prior.by(found[0].x)), logs, soak, terms)
    return Fit(
        prior, found[0].x, cloud, lag, soak, float(np.sqrt(np.mean(misfit**2))),
        tuple(float(each.cost) for each in found), settled,
    )  # fmt: skip


def _lag(system: OilSystem, logs: tuple[Readings, ...], soak: float, terms: FitTerms) -> float:
    """The sender's lag with which a fitted system follows the gauge best, all samples taken."""

    def miss(lag: float) -> float:
        far = []
        for log in logs:
            oil = follow(log.time, log.temperature, soak)
            at = log.usable
            shown = np.full(len(log.time), np.nan)
            shown[at] = system.gauge(log.speed[at], oil[at])
            far.append((follow(log.time, shown, lag) - log.pressure)[at])
        return float(np.mean(np.abs(np.concatenate(far))))

    return min((t for t in _LAGS if t <= terms.slowest_sender), key=miss)


_ZERO = np.zeros(len(PARAMETERS))


def _best(posterior: Posterior, starts: list[Floats]) -> list[OptimizeResult]:
    """The fit from every start, best first."""
    found = [
        least_squares(
            lambda u: posterior.residuals(u)[0], start, posterior.slopes, max_nfev=80
        )
        for start in starts
    ]  # fmt: skip
    return sorted(found, key=lambda each: float(each.cost))


def _cloud(
    posterior: Posterior, best: OptimizeResult, seed: int, progress: Progress
) -> tuple[Floats, float]:
    """Parameter sets drawn as often as they are likely, and how well the draw has settled."""
    random = np.random.RandomState(seed)  # the generator emcee itself keeps
    curvature = best.jac.T @ best.jac  # never singular: the prior is part of it
    begin = random.multivariate_normal(best.x, np.linalg.inv(curvature) / 4, _WALKERS)
    moves = [(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)]
    sampler = emcee.EnsembleSampler(
        _WALKERS, len(best.x), posterior.log_density, vectorize=True, moves=moves
    )
    sampler.random_state = random.get_state()
    for done, _ in enumerate(sampler.sample(begin, iterations=_WARM_UP + _KEPT), 1):
        progress(0.2 + 0.8 * done / (_WARM_UP + _KEPT))
    chain = sampler.get_chain(discard=_WARM_UP, thin=_EVERY)
    half = len(chain) // 2
    first, second = (part.reshape(-1, len(best.x)) for part in (chain[:half], chain[half:]))
    apart = np.abs(np.median(first, axis=0) - np.median(second, axis=0))
    cloud = np.concatenate([first, second])
    return cloud, float(np.max(apart / cloud.std(axis=0)))
