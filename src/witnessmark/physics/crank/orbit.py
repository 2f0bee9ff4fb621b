"""The path of a journal in its shell over the cycle, and where its film is thinnest."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.physics.bearing.mobility import MobilityMap
from witnessmark.physics.crank.loads import BearingLoad
from witnessmark.physics.crank.lone import LoneMarcher
from witnessmark.physics.crank.march import (
    CLOSEST,
    FIRST_STEP,
    Complex,
    Course,
    Marcher,
    Mobility,
    Steps,
)
from witnessmark.physics.crank.march import joined as joined_steps
from witnessmark.physics.numbers import Floats

Array = NDArray[np.float64]
START = 0.7  # eccentricity to begin from, along the load; the answer does not depend on it
SLOW, FASTEST = 0.25, 0.98  # shares of a move left after a cycle between which a leap is made
CLOSED = 2.0  # the path repeats when it meets itself within so many tolerances
FEW = 12  # states up to which one after another is faster than side by side
BLOCK = 1024  # states marched side by side: enough to drown the overhead, few enough for the cache


@dataclass(frozen=True)
class Bearing:
    """diameter, length, clearance (radial) [m]; numbers or arrays that broadcast with states."""

    diameter: Floats
    length: Floats
    clearance: Floats


@dataclass(frozen=True)
class Orbit:
    """Periodic path of journals; states of shape S, n crank angles.

    angle : shape (n,). [rad]
    path : Journal's offset over radial clearance in the load's frame, shape S + (n, 2). [-]
    film : Thinnest film at each angle, shape S + (n,). [m]
    least_film : shape S. [m]     least_angle : Crank angle of it, shape S. [rad]
    cycles : Cycles stepped until the path repeated, shape S. [-]
    residual : How far the path may yet move, over the film where it closes, shape S. [-]
    settled : Whether the path repeats, shape S. A False state has no periodic film: say so.
    """

    angle: Array
    path: Array
    film: Array
    least_film: Array
    least_angle: Array
    cycles: Array
    residual: Array
    settled: NDArray[np.bool_]


def orbit(
    load: BearingLoad,
    bearing: Bearing,
    speed: ArrayLike,
    viscosity: ArrayLike,
    *,
    tolerance: float = 5e-4,
    segments: int = 12,
    most_cycles: int = 40,
    start: ArrayLike | None = None,
    mobility: Mobility | None = None,
) -> Orbit:
    """Orbit of journals over the cycle, for many states at once.

    Parameters
    ----------
    load : From `rod_load` or `main_loads`; force of shape S + (n, 2).
    bearing, speed, viscosity : Sizes [m], engine speed [rev/s], viscosity in the film [Pa s];
        broadcast with S. For mains of shape (states, mains) give speed the shape (states, 1).
    tolerance : Error of a step over the gap left. [-]
    segments : Pieces of the cycle; after each it is asked whether the path repeats.
    start : Offset over clearance at the first angle, (2,); None begins at the heaviest load.
    mobility : Called with offsets (along, across) the load, to use instead of the finite film.

    Returns
    -------
    Orbit.

    Limits: rigid round parts in line, one viscosity a state, no oil hole or groove, film full of
    oil whenever pressed (mobility overstates film and understates flow: Yu and Sawicki 2002).
    Source: J. F. Booker, ASME J. Basic Eng. 87 (1965) 537; docs/explanation/bearing.md.
    """
    impulse, ratio, clearance, shape = _course(load, bearing, speed, viscosity)
    states, count = impulse.shape
    if count % segments:
        raise ValueError(
            f"Orbit: {count} crank angles in {segments} segments found; segments must divide the "
            "cycle evenly. Use 1, or a divisor of the number of angles."
        )
    turning = load.turning * (load.angle[1] - load.angle[0])
    place, cycles = np.empty((states, count), dtype=complex), np.empty(states)
    residual = np.empty(states)
    for value in np.unique(ratio):
        film = mobility or MobilityMap(float(value))
        alike = np.flatnonzero(ratio == value)
        for first in range(0, len(alike), BLOCK):
            some = alike[first : first + BLOCK]
            ring = _Ring(_marcher(Course(impulse[some], turning), film, tolerance), segments)
            steps = ring.run(impulse[some], start, most_cycles, CLOSED * tolerance)
            place[some] = _sample(steps, len(some), count)
            cycles[some], residual[some] = ring.runs / segments, ring.residual
    gap = 1 - np.abs(place)
    least = np.argmin(gap, axis=1)
    return Orbit(
        angle=load.angle,
        path=np.stack([place.real, place.imag], axis=-1).reshape(*shape, count, 2),
        film=(gap * clearance[:, None]).reshape(*shape, count),
        least_film=(gap[np.arange(states), least] * clearance).reshape(shape),
        least_angle=load.angle[least].reshape(shape),
        cycles=cycles.reshape(shape),
        residual=residual.reshape(shape),
        settled=(residual <= CLOSED * tolerance).reshape(shape),
    )


def _course(
    load: BearingLoad, bearing: Bearing, speed: ArrayLike, viscosity: ArrayLike
) -> tuple[Complex, Array, Array, tuple[int, ...]]:
    """Load without dimensions, L/D and clearance, states in one row; their shape beside it."""
    sizes = [np.asarray(v, float) for v in (
        bearing.diameter, bearing.length, bearing.clearance, speed, viscosity)]  # fmt: skip
    names = ("diameter", "length", "clearance", "speed", "viscosity")
    for name, values in zip(names, sizes, strict=True):
        if not np.all(values > 0):
            raise ValueError(
                f"Orbit: {name} {values.min()} found; it must be above 0. Check it and its unit."
            )
    if not np.all(np.isfinite(load.force)):
        raise ValueError(
            "Orbit: a load that is no number found; every crank angle of every state must have "
            "one. Check the gas pressure and the speed it was made from."
        )
    shape = np.broadcast_shapes(load.force.shape[:-2], *(v.shape for v in sizes))
    diameter, length, clearance, turns, mu = (np.broadcast_to(v, shape).ravel() for v in sizes)
    count = len(load.angle)
    force = np.broadcast_to(load.force, (*shape, count, 2)).reshape(-1, count, 2)
    step = load.angle[1] - load.angle[0]
    scale = (2 * clearance / diameter) ** 2 / (length * diameter * mu * 2 * np.pi * turns) * step
    impulse = (force[..., 0] + 1j * force[..., 1]) * scale[:, None]
    return impulse, length / diameter, clearance, shape


def _marcher(course: Course, film: Mobility, tolerance: float) -> Marcher | LoneMarcher:
    if isinstance(film, MobilityMap) and len(course.impulse) <= FEW:
        return LoneMarcher(course, film, tolerance)
    return Marcher(course, film, tolerance)


class _Ring:
    """Marches round the cycle, a segment at a time, until the path meets itself.

    Each state begins where its load is heaviest: there a film forgets fastest where it came from,
    so little more than one cycle is needed.
    """

    def __init__(self, marcher: Marcher | LoneMarcher, segments: int) -> None:
        self._marcher, self._segments = marcher, segments

    def run(
        self, impulse: Complex, start: ArrayLike | None, most_cycles: int, close: float
    ) -> Steps:
        """March until every path closes; the steps of the last march of every segment."""
        states, count = impulse.shape
        length = count // self._segments
        first, place = _begin(impulse, self._segments, start)
        step, going = np.full(states, FIRST_STEP), np.arange(states)
        ends = np.full((states, self._segments), np.inf + 0j)
        earlier, fade = np.full(states, np.inf + 0j), np.zeros(states)
        self.runs, self.residual = np.zeros(states), np.full(states, np.inf)
        latest: list[Steps] = []
        for turn in range(most_cycles * self._segments):
            segment = (first[going] + turn) % self._segments
            time = (segment * length).astype(float)
            place, step, steps = self._marcher.march(going, time, time + length, place, step)
            if turn >= self._segments:  # what this march replaces
                old = latest[-self._segments]
                again = np.zeros(states, dtype=bool)
                again[going] = True
                latest[-self._segments] = old.where(~again[old.state])
            latest.append(steps)
            move = place - ends[going, segment]
            ends[going, segment] = place
            gap = np.maximum(1 - np.abs(place), CLOSEST)
            self.runs[going] += 1
            # What is still to come of a path that fades so slowly: the rest of a geometric row.
            self.residual[going] = (
                np.abs(move) / gap * np.maximum(1, fade[going] / (1 - fade[going]))
            )
            on = self.residual[going] > close
            if turn >= self._segments and (turn + 1) % self._segments == 0:
                place, fade[going] = _leap(place, move, earlier[going], gap)
                earlier[going] = np.where(fade[going] > 0, np.inf, move)
            place, step, going = place[on], step[on], going[on]
            if not len(going):
                break
        return joined_steps(latest)


def _leap(place: Complex, move: Complex, earlier: Complex, gap: Array) -> tuple[Complex, Array]:
    """Where a path that closes in on itself cycle by cycle will end; how much of a move is left.

    Aitken's rule on the last two moves. Thick oil under light load forgets slowly, and creeps.
    """
    rate = np.where(np.isfinite(earlier), move, 0) / np.where(np.isfinite(earlier), earlier, 1)
    size = np.abs(rate)
    leap = move * rate / np.where(size < FASTEST, 1 - rate, 1)
    # Only where it pays, and never far across the film.
    fit = (size > SLOW) & (size < FASTEST) & (np.abs(leap) < 0.5 * gap)
    return np.where(fit, place + leap, place), np.where(size > SLOW, np.minimum(size, FASTEST), 0.0)


def _begin(
    impulse: Complex, segments: int, start: ArrayLike | None
) -> tuple[NDArray[np.int64], Complex]:
    """Segment each state begins with, and where the journal stands there."""
    states = len(impulse)
    if start is not None:
        along, across = np.asarray(start, dtype=float)
        return np.zeros(states, dtype=np.int64), np.full(states, along + 1j * across)
    pieces = np.abs(impulse).reshape(states, segments, -1)
    first = np.argmax(pieces.mean(axis=2), axis=1)
    load = impulse[np.arange(states), first * pieces.shape[2]]
    return first, np.asarray(START * load / (np.abs(load) + 1e-300))


def _sample(steps: Steps, states: int, count: int) -> Complex:
    """The path at every step of the load: cubics through both ends of the march's steps."""
    key = steps.state * count + steps.time
    order = np.argsort(key)
    wanted = np.arange(states * count, dtype=float)
    here = order[np.searchsorted(key[order], wanted + 1e-9, side="right") - 1]
    length = steps.length[here]
    x = (wanted - key[here]) / length
    rise = steps.end[here] - steps.start[here]
    first, last = steps.start_rate[here] * length, steps.end_rate[here] * length
    curve = first * x + (3 * rise - 2 * first - last) * x**2 + (first + last - 2 * rise) * x**3
    return np.asarray(steps.start[here] + curve).reshape(states, count)
