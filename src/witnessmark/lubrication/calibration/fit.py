"""One engine's oil system from its logs: the best fit, and every fit nearly as good."""

from collections.abc import Callable
from dataclasses import dataclass

import emcee
import numpy as np

from witnessmark.lubrication.calibration.best import Best, best_fit
from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.system import OilSystem
from witnessmark.model.log import Floats

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
    best = best_fit(prior, logs, terms, seed)
    progress(0.2)
    cloud, settled = _cloud(best, seed, progress)
    misfit = best.posterior.predicted(best.place[None])[0] - best.posterior.moments.pressure
    return Fit(
        prior, best.place, cloud, best.lag, best.soak, float(np.sqrt(np.mean(misfit**2))),
        tuple(float(each.cost) for each in best.tried), settled,
    )  # fmt: skip


def _cloud(best: Best, seed: int, progress: Progress) -> tuple[Floats, float]:
    """Parameter sets drawn as often as they are likely, and how well the draw has settled."""
    random = np.random.RandomState(seed)  # the generator emcee itself keeps
    jacobian = best.tried[0].jac
    curvature = jacobian.T @ jacobian  # never singular: the prior is part of it
    begin = random.multivariate_normal(best.place, np.linalg.inv(curvature) / 4, _WALKERS)
    moves = [(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)]
    sampler = emcee.EnsembleSampler(
        _WALKERS, len(best.place), best.posterior.log_density, vectorize=True, moves=moves
    )
    sampler.random_state = random.get_state()
    for done, _ in enumerate(sampler.sample(begin, iterations=_WARM_UP + _KEPT), 1):
        progress(0.2 + 0.8 * done / (_WARM_UP + _KEPT))
    chain = sampler.get_chain(discard=_WARM_UP, thin=_EVERY)
    half = len(chain) // 2
    first, second = (part.reshape(-1, len(best.place)) for part in (chain[:half], chain[half:]))
    apart = np.abs(np.median(first, axis=0) - np.median(second, axis=0))
    cloud = np.concatenate([first, second])
    return cloud, float(np.max(apart / cloud.std(axis=0)))
