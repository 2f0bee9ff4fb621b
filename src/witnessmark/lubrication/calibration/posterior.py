"""How well a parameter set explains a log, and how far it strays from the build."""

from dataclasses import dataclass

import numpy as np

from witnessmark.lubrication.calibration.readings import Observed
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.system import PARAMETERS
from witnessmark.model.log import Floats

_FAR = 6.0  # standard deviations
_STEP = 1e-4  # of a standard normal, for slopes: far above rounding, far below any spread


@dataclass(frozen=True)
class Posterior:
    """Build and log together. Parameters are standard normals: 0 is what the build gives."""

    prior: Prior
    moments: Observed
    noise: Floats  # of each moment, shape (n,) [Pa]

    @classmethod
    def of(cls, prior: Prior, moments: Observed, terms: FitTerms) -> "Posterior":
        """Noise from the terms: sender and model error, larger because neighbours err alike."""
        one = np.hypot(terms.sender_noise, terms.model_error * moments.pressure)
        return cls(prior, moments, terms.alike * one)

    def predicted(self, standard: Floats) -> Floats:
        """Gauge pressure of every moment. standard: (m, parameters); returns (m, n). [Pa]"""
        system = self.prior.system.vary(self.prior.by(standard[:, None, :]))
        return system.gauge(self.moments.speed, self.moments.temperature)

    def residuals(self, standard: Floats) -> Floats:
        """What a least-squares fit sums the squares of.

        Parameters
        ----------
        standard : (m, parameters), or one set (parameters,). [-]

        Returns
        -------
        (m, n + parameters): misfit of each moment over its noise, tamed where it is large, then
        the distance from the build. [-]

        Source: pseudo-Huber loss, Hartley and Zisserman, Multiple View Geometry, A6.8.
        """
        sets = np.atleast_2d(standard)
        misfit = (self.predicted(sets) - self.moments.pressure) / self.noise
        tamed = np.sign(misfit) * np.sqrt(2 * (np.sqrt(1 + misfit**2) - 1))
        return np.concatenate([tamed, sets], axis=1)

    def slopes(self, standard: Floats) -> Floats:
        """Derivatives of the residuals of one set, (n + parameters, parameters)."""
        steps = np.vstack([standard, standard + _STEP * np.eye(len(PARAMETERS))])
        at = self.residuals(steps)
        return np.asarray((at[1:] - at[0]).T / _STEP)

    def log_density(self, standard: Floats) -> Floats:
        """Log of the posterior density, up to a constant. (m, parameters) -> (m,).

        Six spreads from the build is taken for impossible: no engine is there.
        """
        far = np.any(np.abs(standard) > _FAR, axis=1)
        density = -0.5 * np.sum(self.residuals(np.clip(standard, -_FAR, _FAR)) ** 2, axis=1)
        return np.where(far, -np.inf, density)
