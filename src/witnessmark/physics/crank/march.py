"""Steps a journal through a changing load: many journals at once, each at its own pace.

Positions are complex numbers: real part along the frame's first axis, imaginary part across,
in units of the radial clearance. So a load carries its own direction: impulse rate times mobility.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]
Index = NDArray[np.int64]
Mobility = Callable[[Array, Array], tuple[Array, Array]]  # along and across the load -> mobility

CLOSEST = 1e-7  # gap over clearance that counts as contact; a film so thin is long since broken
FIRST_STEP = 0.25  # of a step of the load
LONGEST_STEP = 8.0  # steps of the load, so that no peak is stepped over
GROWTH = (0.15, 4.0)  # bounds on the change of the step
MOST_STEPS = 50_000


@dataclass(frozen=True)
class Course:
    """What drives the journals; n steps in the period, N states.

    impulse : Load made dimensionless, per step of the load, shape (N, n). [-]
    turning : Mean turn of journal and shell in the frame, per step of the load, shape (n,). [rad]
    """

    impulse: Complex
    turning: Array


@dataclass(frozen=True)
class Steps:
    """Accepted steps, in any order: whose, time and length, position and rate at both ends."""

    state: Index
    time: Array
    length: Array
    start: Complex
    end: Complex
    start_rate: Complex
    end_rate: Complex

    def where(self, keep: NDArray[np.bool_]) -> "Steps":
        """The steps that are flagged."""
        return Steps(*(value[keep] for value in vars(self).values()))


class Marcher:
    """Marches journals with an embedded Runge-Kutta pair, third order with a second beside it.

    P. Bogacki and L. F. Shampine, Appl. Math. Lett. 2 (1989) 321. The error of a step is held to
    a share of the gap that is left, so a thin film is followed as closely as a thick one.
    """

    def __init__(self, course: Course, mobility: Mobility, tolerance: float) -> None:
        """Lay out the load so that one gather finds its value and slope."""
        following = np.roll(course.impulse, -1, axis=1)
        self._count = course.impulse.shape[1]
        self._load = course.impulse.ravel()
        self._slope = (following - course.impulse).ravel()
        self._turn = 1j * course.turning
        self._turn_slope = 1j * (np.roll(course.turning, -1) - course.turning)
        self._mobility, self._tolerance = mobility, tolerance

    def rate(self, time: Array, place: Complex, state: Index) -> Complex:
        """Velocity of the journal: mobility times load, and the turn of the film."""
        step = time.astype(np.int64)
        part = time - step
        step %= self._count
        turn = self._turn[step] + part * self._turn_slope[step]
        step += state * self._count
        load = self._load[step] + part * self._slope[step]
        size = np.abs(load) + 1e-300
        seen = place * (load.conjugate() / size)
        along, across = self._mobility(seen.real, seen.imag)
        return np.asarray(load * (along + 1j * across) + turn * place)

    def march(
        self, state: Index, time: Array, until: Array, place: Complex, step: Array
    ) -> tuple[Complex, Array, Steps]:
        """Where journals that stand at `place` at `time` are at `until`; next step; every step."""
        ended, next_step = place.copy(), step.copy()
        spot = np.arange(len(state))
        rate = self.rate(time, place, state)
        kept: list[Steps] = []
        for _ in range(MOST_STEPS):
            wished = np.minimum(step, LONGEST_STEP)
            step = np.minimum(wished, until - time)
            after, last, error = self._try(time, step, place, rate, state)
            good = error <= 1
            kept.append(Steps(state, time, step, place, after, rate, last).where(good))
            time = np.where(good, time + step, time)
            place = np.where(good, after, place)
            rate = np.where(good, last, rate)
            grown = step * np.clip(0.85 * (error + 1e-12) ** (-1 / 3), *GROWTH)
            going = time < until - 1e-9
            # The step cut short at the end says nothing of the step that could be made.
            step = np.where(going, grown, wished)
            if not going.all():
                ended[spot[~going]], next_step[spot[~going]] = place[~going], step[~going]
                time, until, step = time[going], until[going], step[going]
                place, rate = place[going], rate[going]
                state, spot = state[going], spot[going]
                if not len(spot):
                    return ended, next_step, joined(kept)
        raise too_many()

    def _try(
        self, time: Array, step: Array, place: Complex, rate: Complex, state: Index
    ) -> tuple[Complex, Complex, Array]:
        """One step: place after it, rate there, error over what is allowed."""
        second = self.rate(time + 0.5 * step, place + 0.5 * step * rate, state)
        third = self.rate(time + 0.75 * step, place + 0.75 * step * second, state)
        after = place + step * (rate * (2 / 9) + second * (1 / 3) + third * (4 / 9))
        last = self.rate(time + step, after, state)
        wrong = step * (rate * (-5 / 72) + second / 12 + third / 9 - last / 8)
        gap = 1 - np.abs(after)
        error = np.abs(wrong) / (self._tolerance * np.maximum(gap, CLOSEST))
        # A step that ends outside the shell is no step, however small its error seems.
        return after, last, np.where(gap > 0, error, np.maximum(error, 1e3))


def joined(parts: list[Steps]) -> Steps:
    """All steps of all parts."""
    return Steps(*(np.concatenate(v) for v in zip(*(vars(p).values() for p in parts), strict=True)))


def too_many() -> ValueError:
    """What is said when a cycle takes too many steps."""
    return ValueError(
        f"Orbit: part of a cycle not finished in {MOST_STEPS} steps; the load is too great for "
        "this film by far. Check viscosity [Pa s], clearance [m] and load [N]."
    )
