"""The march of `march.Marcher` for a few journals: plain numbers, one journal after another.

An array of one costs as much per call as an array of hundreds; with plain numbers one journal
takes a tenth of the time. Same steps, same answer (the tests hold the two together).
"""

import math
from functools import lru_cache

import numpy as np

from witnessmark.physics.bearing.mobility import MobilityMap
from witnessmark.physics.bearing.short import short_mobility
from witnessmark.physics.crank.march import (
    CLOSEST,
    GROWTH,
    LONGEST_STEP,
    MOST_STEPS,
    Array,
    Complex,
    Course,
    Index,
    Steps,
    too_many,
)

DEPTHS, TURNS = 320, 128  # cells of the map: log of the gap left, and angle off the load
ROW = TURNS + 1
NEAREST = 1e-4  # gap over clearance where the map ends and the short bearing's law takes over
PER_DEPTH = DEPTHS / -math.log(NEAREST)
PER_TURN = TURNS * 2 / math.pi
EDGE = 1e-6  # keeps the map's nodes off the load line and the centre, where 0/0 would stand


class LoneMarcher:
    """Marches journals one by one; made and used as `Marcher`."""

    def __init__(self, course: Course, film: MobilityMap, tolerance: float) -> None:
        """Turn arrays into lists, which plain numbers read faster."""
        self._count = course.impulse.shape[1]
        self._load = course.impulse.tolist()
        self._slope = (np.roll(course.impulse, -1, axis=1) - course.impulse).tolist()
        self._turn = (1j * course.turning).tolist()
        self._turn_slope = (1j * (np.roll(course.turning, -1) - course.turning)).tolist()
        self._table = _shares(film.length_ratio)
        self._scale = 1 / (math.pi * film.length_ratio**2)
        self._tolerance = tolerance

    def mobility(self, seen: complex) -> complex:
        """Mobility of a journal at `seen` from the load's direction, as `bearing.mobility`."""
        size = abs(seen)
        left, gap = max(1 - size, CLOSEST), max(1 - seen.real, CLOSEST)
        depth = min(-math.log(left) * PER_DEPTH, float(DEPTHS))
        row = min(int(depth), DEPTHS - 1)
        stretch = ((1 + size) / left) ** 0.25
        turn = math.atan2(stretch * abs(seen.imag), size + seen.real + 1e-300) * PER_TURN
        column = min(int(turn), TURNS - 1)
        at, over = row * ROW + column, turn - column
        table = self._table
        near = table[at] + over * (table[at + 1] - table[at])
        at += ROW
        far = table[at] + over * (table[at + 1] - table[at])
        share = near + (depth - row) * (far - near)
        scale = gap * math.sqrt(gap) * self._scale
        return complex(share.real * gap * scale, share.imag * seen.imag * scale * -4 / math.pi)

    def march(
        self, state: Index, time: Array, until: Array, place: Complex, step: Array
    ) -> tuple[Complex, Array, Steps]:
        """As `Marcher.march`."""
        ended, next_step = place.copy(), step.copy()
        kept: list[tuple[int, float, float, complex, complex, complex, complex]] = []
        for i, one in enumerate(state.tolist()):
            ended[i], next_step[i] = self._one(
                one, float(time[i]), float(until[i]), complex(place[i]), float(step[i]), kept
            )
        return ended, next_step, Steps(*(np.array(v) for v in zip(*kept, strict=True)))

    def _rate(self, time: float, place: complex, state: int) -> complex:
        step = int(time)
        part = time - step
        step %= self._count
        turn = self._turn[step] + part * self._turn_slope[step]
        load = self._load[state][step] + part * self._slope[state][step]
        size = abs(load)
        if size == 0:
            return complex(turn * place)
        return complex(load * self.mobility(place * load.conjugate() / size) + turn * place)

    def _one(
        self, state: int, time: float, until: float, place: complex, step: float,
        kept: list[tuple[int, float, float, complex, complex, complex, complex]],
    ) -> tuple[complex, float]:  # fmt: skip
        rate = self._rate(time, place, state)
        wished = step
        for _ in range(MOST_STEPS):
            wished = min(step, LONGEST_STEP)
            step = min(wished, until - time)
            second = self._rate(time + 0.5 * step, place + 0.5 * step * rate, state)
            third = self._rate(time + 0.75 * step, place + 0.75 * step * second, state)
            after = place + step * (rate * (2 / 9) + second * (1 / 3) + third * (4 / 9))
            last = self._rate(time + step, after, state)
            wrong = step * abs(rate * (-5 / 72) + second / 12 + third / 9 - last / 8)
            gap = 1 - abs(after)
            error = wrong / (self._tolerance * max(gap, CLOSEST))
            if gap <= 0:
                error = max(error, 1e3)
            if error <= 1:
                kept.append((state, time, step, place, after, rate, last))
                time, place, rate = time + step, after, last
                if time >= until - 1e-9:
                    return place, wished
            step *= min(max(0.85 * (error + 1e-12) ** (-1 / 3), GROWTH[0]), GROWTH[1])
        raise too_many()


@lru_cache(maxsize=64)
def _shares(length_ratio: float) -> list[complex]:
    """Mobility along (real) and across (imaginary) over the short bearing's, on an even map."""
    size = np.maximum(1 - np.exp(-np.arange(DEPTHS + 1) / PER_DEPTH), EDGE)[:, None]
    turn = np.clip(np.arange(TURNS + 1) / PER_TURN, EDGE, np.pi / 2 - EDGE)
    stretch = ((1 + size) / (1 - size)) ** 0.25
    place = size * np.exp(2j * np.arctan2(np.sin(turn), stretch * np.cos(turn)))
    along, across = MobilityMap(length_ratio)(place.real, place.imag)
    short_along, short_across = short_mobility(place.real, place.imag, length_ratio)
    shares: list[complex] = (along / short_along + 1j * across / short_across).ravel().tolist()
    return shares
