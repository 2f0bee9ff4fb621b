"""The oil pressure to expect of one engine, as light as a plan can carry it."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.model.authority import Authority
from witnessmark.model.log import Floats, Mask

QUANTILES = (0.005, 0.05, 0.5, 0.95, 0.995)
LOWEST, LOW, MIDDLE, HIGH, HIGHEST = range(5)  # places of the quantiles
Row = tuple[float, ...]
_BLOCK = 1 << 14  # samples read together: all there is of them stays in the processor's cache


@dataclass(frozen=True)
class Expected:
    """Pressure that 0.5, 5, 50, 95 and 99.5 of 100 such builds stay under. [Pa]

    Arrays where `at` was asked for arrays. `inside`: whether speed and temperature lie on the
    grid; where they do not, the nearest edge was taken.
    """

    lowest: Floats
    low: Floats
    middle: Floats
    high: Floats
    highest: Floats
    inside: Mask


@dataclass(frozen=True)
class PressureTable:
    """A pressure band, coarse enough to be written into a plan.

    speed [rev/s] (s,), temperature [K] of the oil (t,), pressure [Pa gauge] five tables (s, t) at
    QUANTILES. `idle` [rev/s] and `oils` [K], cold to hot, are what a person's table shows.
    `lag` of the sender and `soak`, how far the engine warms behind its thermometer [s], 0 where
    nothing has told them. `basis`: "from the build sheet alone";
    `among` whom the quantiles count: "sound builds like this one"; `authority` who says so;
    `book_sha256` of the numbers it was worked out with.
    """

    speed: Row
    temperature: Row
    pressure: tuple[tuple[Row, ...], ...]
    idle: float
    oils: Row
    lag: float
    soak: float
    basis: str
    among: str
    authority: Authority
    book_sha256: str

    def at(self, speed: float | Floats, temperature: float | Floats) -> Expected:
        """Expected pressure.

        Parameters
        ----------
        speed : Engine speed. [rev/s]
        temperature : Oil temperature. [K] Broadcast with speed.

        Returns
        -------
        Expected: straight lines between grid points, the edge outside. NaN stays NaN.
        """
        found = between(np.array(self.pressure), self._grid, speed, temperature)
        return Expected(
            found[0], found[1], found[2], found[3], found[4], self.inside(speed, temperature)
        )

    def lines(self, places: tuple[int, ...], speed: Floats, temperature: Floats) -> Floats:
        """Some quantiles of `at`, by their places in QUANTILES: a long log needs no other.

        Shape (places, n). [Pa]
        """
        table = np.array([self.pressure[place] for place in places])
        return between(table, self._grid, speed, temperature)

    def floor_of_any(self, place: int, speed: Floats, hottest: float) -> Floats:
        """Least that a quantile comes to on oil of any temperature up to the hottest. [Pa] (n,)"""
        return np.asarray(np.interp(speed, self.speed, self._up_to(place, hottest).min(axis=1)))

    def top_of_any(self, place: int, speed: Floats, hottest: float) -> Floats:
        """Most that a quantile comes to on oil of any temperature up to the hottest. [Pa] (n,)"""
        return np.asarray(np.interp(speed, self.speed, self._up_to(place, hottest).max(axis=1)))

    def inside(self, speed: float | Floats, temperature: float | Floats) -> Mask:
        """Whether a state lies on the grid."""
        t = np.asarray(temperature)
        return self.inside_speed(speed) & (t >= self.temperature[0]) & (t <= self.temperature[-1])

    def inside_speed(self, speed: float | Floats) -> Mask:
        """Whether a speed lies on the grid."""
        s = np.asarray(speed)
        return np.asarray((s >= self.speed[0]) & (s <= self.speed[-1]))

    def _up_to(self, place: int, hottest: float) -> Floats:
        temperature, table = np.array(self.temperature), np.array(self.pressure[place])
        cooler = temperature < hottest
        end = [np.interp(hottest, temperature, row) for row in table]
        return np.column_stack([table[:, cooler], end])

    @property
    def _grid(self) -> tuple[Floats, Floats]:
        return np.array(self.speed), np.array(self.temperature)


def rows(table: Floats, to: float) -> tuple[Row, ...]:
    """A table (s, t) as a plan carries it, each number rounded to a multiple of `to`."""
    whole: Iterable[Iterable[float]] = (np.round(table / to) * to).tolist()
    return tuple(tuple(row) for row in whole)


def between(
    values: Floats, grid: tuple[Floats, Floats], speed: float | Floats, temperature: float | Floats
) -> Floats:
    """Values (k, s, t) on a grid of speeds and temperatures, read between its points.

    Returns
    -------
    (k, ...): straight lines between grid points, the edge outside. NaN stays NaN.
    """
    s, t = np.asarray(speed, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    if s.ndim != 1 or s.shape != t.shape or len(s) <= _BLOCK:
        return _between(values, grid, s, t)
    found = np.empty((len(values), len(s)))
    for start in range(0, len(s), _BLOCK):
        part = slice(start, start + _BLOCK)
        found[:, part] = _between(values, grid, s[part], t[part])
    return found


def _between(
    values: Floats, grid: tuple[Floats, Floats], speed: Floats, temperature: Floats
) -> Floats:
    i, a = _place(grid[0], speed)
    j, b = _place(grid[1], temperature)
    # Flat indices: a log of millions of samples is read twice as fast.
    flat, wide = values.reshape(len(values), -1), values.shape[2]
    corner = np.asarray(i * wide + j)
    below = _mixed(flat, corner, corner + wide, a)
    above = _mixed(flat, corner + 1, corner + wide + 1, a)
    return np.asarray(below + b * (above - below))


def _mixed(flat: Floats, one: NDArray[np.intp], other: NDArray[np.intp], share: Floats) -> Floats:
    first = np.take(flat, one, axis=1)
    return np.asarray(first + share * (np.take(flat, other, axis=1) - first))


def _place(grid: Floats, x: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Grid interval and how far along it, 0 to 1; NaN stays in the second."""
    place = np.interp(x, grid, np.arange(len(grid), dtype=np.float64))
    with np.errstate(invalid="ignore"):  # NaN has no interval; its share stays NaN
        at = np.clip(np.asarray(place).astype(np.intp), 0, len(grid) - 2)
    return at, np.asarray(place - at)
