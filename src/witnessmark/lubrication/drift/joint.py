"""Reference and log as one regression: unknown are the engine and what moved between them."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg import block_diag, cho_factor, cho_solve

from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.drift.reference import Reference, Spells, spells
from witnessmark.lubrication.drift.terms import FOLLOWED, DriftTerms
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.system import PARAMETERS
from witnessmark.model.log import Floats, Mask

# What may move from one log to the next: what is followed, then what is not.
MOVING = (*FOLLOWED, "viscosity", "film_rise", "sender_offset")
_WEIGHINGS, _STEPS = 3, 12  # rounds
_ENOUGH = 0.02  # gain in deviance from which a further step changes nothing shown
_LONGEST = 1.0  # a step, over the spread beforehand: a line holds no farther
_STEP = 1e-3  # of a standard normal, for slopes
_STRANGERS = 60.0  # square of the distance from which misses have nothing to do with each other
_FEWEST = 12  # blocks; fewer hold no range together
_QUIETEST, _LOUDEST = 0.3, 10.0  # how far a log's scatter may be from what was expected


class TooLittleAlikeError(Exception):
    """The log and its reference hardly ever ran at the same speed on oil of the same warmth."""


@dataclass(frozen=True)
class Found:
    """A solution: changes of MOVING, their sd, sd of the leakage itself (all of logarithms but for
    the sender's offset [Pa]), and its deviance: the weighed squares that are left.
    """

    place: Floats  # all unknowns: the engine's parameters, then MOVING
    change: Floats
    sd: Floats
    leak_sd: float
    deviance: float


class Joint:
    """The regression of one log with its reference; readings are weighed once, when it is made."""

    def __init__(
        self, reference: Reference, log: Readings, prior: Prior, spread: Floats,
        fit: FitTerms, terms: DriftTerms,
    ) -> None:  # fmt: skip
        """`prior`: the engine with the log's oil; `spread`: of MOVING by themselves."""
        self._reference, self._fit, self._terms = reference, fit, terms
        every = spells((log,), reference.lag, fit)
        like = _like(reference, every, terms)
        self.like = float(np.mean(like))
        if np.count_nonzero(like) < _FEWEST:
            raise TooLittleAlikeError
        self._later = _Part(prior, every.only(like))
        self._shift = _shift(reference.prior)
        self._center = np.concatenate([reference.mean, np.zeros(len(MOVING))])
        known = reference.spells
        self._old = None if known is None else _Part(reference.prior, known)
        self._alike = self._neighbours()
        self.scatter = 1.0
        self._weigh(spread)

    def solve(self, spread: Floats, held: int | None = None, begin: Floats | None = None) -> Found:
        """Engine and changes when what moves has these spreads.

        Parameters
        ----------
        spread : Spreads of MOVING by themselves, shape (moving,).
        held : One of MOVING that is kept at no change; None for none.
        begin : Place to start from, such as a solution found before.
        """
        free = np.ones(len(self._center), dtype=bool)
        if held is not None:
            free[len(PARAMETERS) + held] = False
        at = (self._begin if begin is None else begin).copy()
        at[~free] = 0.0
        before = self._before(spread)
        at, now, deviance = self._settled(at, before, free)
        known = len(PARAMETERS)
        _, after = self._normal(now, before, free)
        sd = np.zeros(len(at))
        sd[free] = np.sqrt(np.diag(after))
        leak_sd = self._reference.prior.spreads["leak"].sd * sd[PARAMETERS.index("leak")]
        return Found(at, at[known:], sd[known:], float(leak_sd), deviance)

    def _weigh(self, spread: Floats) -> None:
        """Find how much the readings scatter and which are to be tamed, about a fit of all."""
        at = np.concatenate([self._reference.best, np.zeros(len(MOVING))])
        free, before = np.ones(len(at), dtype=bool), self._before(spread)
        now = self._now(at)
        tame: Floats = np.ones(len(now.left))
        for _ in range(_WEIGHINGS):
            one = self._noise(at)
            noise = (self.scatter * one) ** 2 / tame
            rest = self._alike * np.outer(now.level, now.level) + np.diag(noise)
            self._factor = cho_factor(rest, lower=True)
            at, now, _ = self._settled(at, before, free)
            inverse = cho_solve(self._factor, np.eye(len(noise)))
            alone = noise * (inverse @ now.left)  # what neither circuit nor neighbours explain
            weight = tame / one**2
            ratio = (weight @ alone**2) / (weight @ (noise**2 * np.diag(inverse)))
            wanted = self.scatter * np.sqrt(ratio)
            self.scatter = float(np.clip(wanted, _QUIETEST, _LOUDEST))
            tame = 1 / np.sqrt(1 + (alone / (self.scatter * one)) ** 2)
        noise = (self.scatter * one) ** 2 / tame
        self._factor = cho_factor(
            self._alike * np.outer(now.level, now.level) + np.diag(noise), lower=True
        )
        self._begin = at

    def _settled(self, at: Floats, before: Floats, free: Mask) -> tuple[Floats, "_Now", float]:
        """Where steps of Gauss and Newton come to rest, what is left there, and its deviance."""
        now = self._now(at)
        least = self._deviance(at, now, before, free)
        length = _LONGEST
        for _ in range(_STEPS):
            there = self._step(at, now, before, free, length)
            then = self._now(there)
            deviance = self._deviance(there, then, before, free)
            if deviance >= least:
                length /= 4  # a valve opened or closed on the way: the line does not hold so far
                continue
            gained, least = least - deviance, deviance
            at, now = there, then
            if gained < _ENOUGH:
                break
        return at, now, least

    def _step(self, at: Floats, now: "_Now", before: Floats, free: Mask, length: float) -> Floats:
        """One step of Gauss and Newton, at most so long over the spread beforehand."""
        pull, after = self._normal(now, before, free)
        moved = (at - self._center)[free]
        step = after @ (pull - np.linalg.solve(before[np.ix_(free, free)], moved))
        farthest = float(np.abs(step / np.sqrt(np.diag(before))[free]).max())
        there = at.copy()
        there[free] += step * min(1.0, length / max(farthest, 1e-9))
        return there

    def _deviance(self, at: Floats, now: "_Now", before: Floats, free: Mask) -> float:
        """Weighed squares of what is left and of how far the free unknowns moved."""
        moved = (at - self._center)[free]
        strain = moved @ np.linalg.solve(before[np.ix_(free, free)], moved)
        return float(now.left @ cho_solve(self._factor, now.left) + strain)

    def _normal(self, now: "_Now", before: Floats, free: Mask) -> tuple[Floats, Floats]:
        """Pull of the readings on the free unknowns, and their covariance afterwards."""
        slope = now.slope[:, free]
        weighed = cho_solve(self._factor, np.column_stack([slope, now.left]))
        precision = np.linalg.inv(before[np.ix_(free, free)]) + slope.T @ weighed[:, :-1]
        return slope.T @ weighed[:, -1], np.linalg.inv(precision)

    def _before(self, spread: Floats) -> Floats:
        return np.asarray(block_diag(self._reference.covariance, np.diag(spread**2)))

    def _now(self, at: Floats) -> "_Now":
        engine, moved = at[: len(PARAMETERS)], at[len(PARAMETERS) :]
        later = self._later.at(engine + self._shift @ moved)
        later = replace(later, slope=np.hstack([later.slope, later.slope @ self._shift]))
        if self._old is None:
            return later
        old = self._old.at(engine)
        still = np.hstack([old.slope, np.zeros((len(old.left), len(MOVING)))])
        return _Now(
            np.concatenate([old.left, later.left]), np.vstack([still, later.slope]),
            np.concatenate([old.level, later.level]),
        )  # fmt: skip

    def _noise(self, at: Floats) -> Floats:
        engine, moved = at[: len(PARAMETERS)], at[len(PARAMETERS) :]
        later = self._later.noise(engine + self._shift @ moved, self._terms)
        if self._old is None:
            return later
        return np.concatenate([self._old.noise(engine, self._terms), later])

    def _neighbours(self) -> Floats:
        """Covariance of the circuit's misses as shares: what both logs have, and each its own."""
        known = self._reference.spells
        parts = [each.blocks for each in (known, self._later.spells) if each is not None]
        speed = np.log(np.concatenate([part.speed for part in parts])) / self._terms.alike_speed
        oil = np.concatenate([part.temperature for part in parts]) / self._terms.alike_oil
        far = (speed[:, None] - speed) ** 2 + (oil[:, None] - oil) ** 2
        one = block_diag(*(np.ones((len(part.speed),) * 2) for part in parts))
        near = np.where(far < _STRANGERS, np.exp(-np.minimum(far, _STRANGERS) / 2), 0.0)
        # Half of what is a log's own goes together over its neighbours, half over all of it.
        own = self._terms.between_logs**2 * one * (near + 1) / 2
        return np.asarray(self._fit.model_error**2 * near + own)


def _like(reference: Reference, later: Spells, terms: DriftTerms) -> Mask:
    """Blocks run as the reference ran at some time: elsewhere the circuit alone would vouch."""
    speed, oil = later.blocks.speed, later.blocks.temperature
    if reference.spells is None:
        step, slowest, fastest = np.exp(terms.alike_speed), *reference.span[:2]
        coldest, hottest = reference.span[2:]
        near = (speed >= slowest / step) & (speed <= fastest * step)
        near &= (oil >= coldest - terms.alike_oil) & (oil <= hottest + terms.alike_oil)
        return np.asarray(near)
    of = reference.spells.blocks
    far = ((np.log(speed)[:, None] - np.log(of.speed)) / terms.alike_speed) ** 2
    far += ((oil[:, None] - of.temperature) / terms.alike_oil) ** 2
    return np.asarray(far.min(axis=1) <= 1.0)


def _shift(prior: Prior) -> Floats:
    """From changes of MOVING to standard normals of the prior, (parameters, moving)."""
    shift = np.zeros((len(PARAMETERS), len(MOVING)))
    for column, name in enumerate(MOVING):
        shift[PARAMETERS.index(name), column] = 1 / prior.spreads[name].sd
    return shift


@dataclass(frozen=True)
class _Now:
    """What is left of readings [Pa], slopes against the unknowns, and the pressure [Pa]."""

    left: Floats
    slope: Floats
    level: Floats


@dataclass(frozen=True)
class _Part:
    """One log's readings and the engine they are read by."""

    prior: Prior
    spells: Spells

    def at(self, standard: Floats) -> _Now:
        """Linear about these standard normals (parameters,)."""
        sets = np.vstack([standard, standard + _STEP * np.eye(len(standard))])
        shown = self._shown(sets, self.spells.blocks.speed)
        slope = (shown[1:] - shown[0]).T / _STEP
        return _Now(self.spells.blocks.pressure - shown[0], slope, shown[0])

    def noise(self, standard: Floats, terms: DriftTerms) -> Floats:
        """Noise of each block: of the sender, and more where the speed did not hold still. [Pa]"""
        of, unrest = self.spells.blocks, self.spells.unrest
        swing = self._shown(standard[None], of.speed + unrest)
        swing = (swing - self._shown(standard[None], np.maximum(of.speed - unrest, 0.0))) / 2
        return np.asarray(np.hypot(terms.sender_noise, terms.unsteady * swing[0]))

    def _shown(self, sets: Floats, speed: Floats) -> Floats:
        system = self.prior.system.vary(self.prior.by(sets[:, None, :]))
        return system.gauge(speed, self.spells.blocks.temperature)
