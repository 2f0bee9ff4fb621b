"""How well a fit foretells readings it has not seen, beside two plain rules that also might."""

from collections.abc import Callable

import numpy as np
from scipy.optimize import least_squares

from witnessmark.lubrication.calibration.fit import Fit
from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.model.calibration import Foretold
from witnessmark.model.log import Floats
from witnessmark.physics.lag import follow
from witnessmark.physics.oil.oil import Oil

Rule = Callable[[Floats, Floats], Floats]  # speed [rev/s], temperature [K] -> pressure [Pa]
_MIDDLE = 350.0  # K; keeps the columns of the plane apart
_BEND = 6.0  # how sharply the power law meets its ceiling


def foretell(found: Fit, seen: Readings, unseen: Readings, noise: float) -> Foretold:
    """Hold a fit, and plain rules fitted to the same readings, against readings kept back.

    Parameters
    ----------
    found : Fit to the seen readings.
    seen, unseen : Two parts of one log.
    noise : Sender noise of a single reading, added to the band. [Pa]
    """
    speed = follow(seen.time, seen.speed, found.lag)
    oil = follow(seen.time, seen.temperature, found.soak)
    a, b = seen.usable, unseen.usable
    fit_at, try_at = (speed[a], seen.temperature[a]), (speed[b], seen.temperature[b])
    truth = unseen.pressure[b]
    every = found.systems.gauge(speed[b], oil[b])
    ours = np.mean(every, axis=0)  # least expected square of the miss
    random = np.random.default_rng(0)
    every = every + random.normal(scale=noise, size=every.shape)
    low, high = np.quantile(every, (0.05, 0.95), axis=0)
    return Foretold(
        circuit=_rms(ours - truth),
        constant=_rms(seen.pressure[a].mean() - truth),
        linear=_rms(_linear(*fit_at, seen.pressure[a])(*try_at) - truth),
        power=_rms(_power(found.prior.system.oil, *fit_at, seen.pressure[a])(*try_at) - truth),
        inside=float(np.mean((truth >= low) & (truth <= high))),
        seen=int(a.sum()), unseen=int(b.sum()),
    )  # fmt: skip


def _linear(speed: Floats, temperature: Floats, pressure: Floats) -> Rule:
    def columns(n: Floats, t: Floats) -> Floats:
        return np.stack([np.ones_like(n), n, t - _MIDDLE, n * (t - _MIDDLE)], axis=1)

    weights = np.linalg.lstsq(columns(speed, temperature), pressure, rcond=None)[0]
    return lambda n, t: np.asarray(columns(n, t) @ weights)


def _power(oil: Oil, speed: Floats, temperature: Floats, pressure: Floats) -> Rule:
    """p = C n^a mu^b, bent under a ceiling so softly that a fit can find it."""

    def law(w: Floats, n: Floats, t: Floats) -> Floats:
        thick = np.log(oil.dynamic(t) / oil.dynamic(_MIDDLE))
        free = w[0] + w[1] * np.log(np.maximum(n, 1.0) / 20) + w[2] * thick
        return np.asarray(np.exp(-np.logaddexp(-_BEND * free, -_BEND * w[3]) / _BEND))

    level, top = np.log(np.mean(pressure)), np.log(np.max(pressure))
    starts = [(level, 0.5, 0.2, top), (level, 0.2, 0.05, top + 1.0), (level, 1.0, 0.5, level)]
    fits = [
        least_squares(lambda w: law(w, speed, temperature) / np.exp(level) - pressure
                      / np.exp(level), start, loss="soft_l1", f_scale=0.02)
        for start in starts
    ]  # fmt: skip
    best = min(fits, key=lambda each: float(each.cost)).x
    return lambda n, t: law(best, n, t)


def _rms(miss: Floats) -> float:
    return float(np.sqrt(np.mean(miss**2)))
