"""Pressure in the oil film of a plain full bearing: Reynolds' equation, oil that bears no suction.

The unknown is P >= 0 over the angle psi (from the thinnest film, with the rotation) and the half
width zeta (0 at mid width, 1 at the edge), with H = 1 - e cos(psi) the film over the clearance:

    -d/dpsi(H³ dP/dpsi) - (D/L)² d/dzeta(H³ dP/dzeta) = closing cos(psi) + sweeping sin(psi)

where P > 0, and P = 0 where the oil would have to pull: a complementarity problem, whose answer
meets P = dP/dn = 0 at the edge of the film (Swift-Stieber). closing and sweeping are the journal's
speed towards and along the thinnest film, in clearances, seen from the frame that turns with the
mean of journal and sleeve; a steady bearing is sweeping = -e. Pressure is 12 µ (R/c)² P.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solveh_banded

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
EVEN_SHARE = 0.35  # of the cells spread evenly; the rest crowd where the film is thin


@dataclass(frozen=True)
class Film:
    """A solved film: its pressure and the sums that machines care about.

    pressure P on (angle, half width), shape (n, m). [-]
    toward, along : ∫∫ P cos(psi), ∫∫ P sin(psi) over angle and half width; the load the film
    carries is 6 µ L D (R/c)² times these, toward the thinnest film and 90° on from it. [-]
    sweeps : how many times the wetted area was redrawn. [-]
    """

    pressure: Floats
    toward: float
    along: float
    sweeps: int


class FilmSolver:
    """Reynolds' equation on one grid, for one eccentricity and one length over diameter.

    eccentricity : Offset over radial clearance, 0 <= e < 1. [-]
    length_ratio : Length over diameter; infinite is allowed (no side flow). [-]
    angles, widths : Cells around and across half the width. Error falls with their square.
    """

    def __init__(
        self, eccentricity: float, length_ratio: float, angles: int = 180, widths: int = 16
    ) -> None:
        """Lay the grid and write down the equation of each cell."""
        if not 0 <= eccentricity < 1 or not length_ratio > 0:
            raise ValueError(
                f"Bearing film: eccentricity {eccentricity} and length over diameter "
                f"{length_ratio} found; wanted 0 <= eccentricity < 1 and a length above 0. "
                "Check journal offset, clearance and bearing length."
            )
        if angles % 2 or angles < 8 or widths < 1:
            raise ValueError(
                f"Bearing film: {angles} by {widths} cells found; wanted an even number of "
                "angles from 8 and at least one width. Ask for a grid such as 180 by 16."
            )
        self.eccentricity = eccentricity
        self.inverse_square = 0.0 if np.isinf(length_ratio) else length_ratio**-2.0
        self.angles, self.widths = angles, 1 if np.isinf(length_ratio) else widths
        self._lay_grid()
        self._assemble()

    def _lay_grid(self) -> None:
        marks = angle_marks(self.eccentricity, 2 * self.angles)
        self.angle, self.angle_face = marks[::2], marks[1::2]
        self.film = 1 - self.eccentricity * np.cos(self.angle)
        before = np.concatenate([[self.angle_face[-1] - 2 * np.pi], self.angle_face[:-1]])
        self.angle_step = self.angle_face - before
        # Cell means of cos and sin: the right side's weights, and the load's (the same numbers,
        # which makes the force as symmetric as Reynolds' equation is).
        self.cosines = np.sin(self.angle_face) - np.sin(before)
        self.sines = np.cos(before) - np.cos(self.angle_face)
        share = np.arange(2 * self.widths + 1) / (2 * self.widths)
        marks = share + 0.8 * np.sin(np.pi * share) / np.pi
        self.width_mark = marks[::2]
        faces = np.concatenate([[0.0], marks[1::2], [1.0]])
        self.width_step = np.diff(faces)  # the last one is the half cell at the edge
        if not self.inverse_square:
            self.width_step = np.array([1.0, 0.0])

    def _assemble(self) -> None:
        step = np.diff(np.append(self.angle, self.angle[0] + 2 * np.pi))
        across_face = (1 - self.eccentricity * np.cos(self.angle_face)) ** 3 / step
        self.around = across_face[:, None] * self.width_step[None, :-1]  # to the next angle
        side = self.film**3 * self.angle_step * self.inverse_square
        self.sideways = side[:, None] / np.diff(self.width_mark)[None, :]  # to the next width
        self.diagonal = self.around + np.roll(self.around, 1, axis=0) + self.sideways
        self.diagonal[:, 1:] += self.sideways[:, :-1]

    @cached_property
    def _load_weights(self) -> tuple[Floats, Floats]:
        across = self.width_step[None, :-1]
        return self.cosines[:, None] * across, self.sines[:, None] * across

    def solve(
        self,
        closing: float,
        sweeping: float,
        *,
        ambient_at_widest: bool = False,
        cavitation: bool = True,
        start: Flags | None = None,
    ) -> Film:
        """Film pressure for one velocity of the journal.

        Parameters
        ----------
        closing, sweeping : Journal speed toward the thinnest film and 90° on from it, in
            clearances per unit time, seen from the frame of the mean surface speed. [-]
        ambient_at_widest : Hold P = 0 at the widest gap, as a feed groove does there.
        cavitation : False lets the film pull: a check against closed forms, not an engine.
        start : Guess of the wetted cells, shape (angles, widths).

        Returns
        -------
        Film.

        Limits: one viscosity, rigid round surfaces, no oil history (the film may appear from
        nowhere, so flow out of a starved film is not followed).
        Source: O. Reynolds (1886); Swift (1932), Stieber (1933) for the film's edge.
        """
        if not self.inverse_square and not ambient_at_widest:
            raise ValueError(
                "Bearing film: an infinitely long bearing found without a place at ambient "
                "pressure, so nothing sets its pressure; ask for ambient_at_widest."
            )
        toward, along = self._load_weights
        source = closing * toward + sweeping * along
        # A column known to be empty lets the ring be cut open, which keeps the matrix narrow.
        cut = 0 if ambient_at_widest else self._emptiest(closing, sweeping)
        pressure, sweeps = self._active_set(source, cut, cavitation, start)
        tried = {cut}
        while cavitation and not ambient_at_widest and self._starved(pressure, source, cut):
            cut = self._dry_column(pressure, source, tried)
            tried.add(cut)
            pressure, more = self._active_set(source, cut, cavitation, pressure > 0)
            sweeps += more
        toward_load, along_load = float((pressure * toward).sum()), float((pressure * along).sum())
        return Film(pressure, toward_load, along_load, sweeps)

    def _emptiest(self, closing: float, sweeping: float) -> int:
        pull = (closing * self.cosines + sweeping * self.sines) / self.angle_step
        return int(np.argmin(pull))

    def _starved(self, pressure: Floats, source: Floats, cut: int) -> bool:
        """Whether oil would rather fill the column held empty, which makes the cut a wrong one."""
        excess = self.residual(pressure)[cut] - source[cut]
        return bool((excess < -1e-9 * np.abs(source).max()).any())

    def _dry_column(self, pressure: Floats, source: Floats, tried: set[int]) -> int:
        pull = source[:, 0] / self.angle_step
        for column in np.argsort(pull, kind="stable").tolist():
            if column not in tried and not pressure[column].any():
                return int(column)
        raise RuntimeError("No part of the film is empty; the grid is too coarse for this state.")

    def _active_set(
        self, source: Floats, cut: int, cavitation: bool, start: Flags | None
    ) -> tuple[Floats, int]:
        order = np.roll(np.arange(self.angles), -cut)
        wet = np.ones_like(source, dtype=bool) if not cavitation else source > 0
        if start is not None and cavitation:
            wet = start.copy()
        wet[cut] = False
        sweeps = 0
        while sweeps < self.angles + 60:  # the edge moves a cell a sweep, or faster
            sweeps += 1
            pressure = self._wet_pressure(source, wet, order)
            if not cavitation:
                break
            excess = self.residual(pressure) - source
            next_wet = np.where(wet, pressure > 0, excess < 0)
            next_wet[cut] = False
            if np.array_equal(next_wet, wet):
                break
            wet = next_wet
        else:
            raise RuntimeError(f"The film's edge did not settle in {sweeps} sweeps.")
        return pressure, sweeps

    def residual(self, pressure: Floats) -> Floats:
        """Left side of Reynolds' equation summed over each cell, shape (angles, widths). [-]"""
        out: Floats = self.diagonal * pressure
        out -= self.around * np.roll(pressure, -1, axis=0)
        out -= np.roll(self.around * pressure, 1, axis=0)
        out[:, :-1] -= self.sideways[:, :-1] * pressure[:, 1:]
        out[:, 1:] -= self.sideways[:, :-1] * pressure[:, :-1]
        return out

    def _wet_pressure(self, source: Floats, wet: Flags, order: NDArray[np.int64]) -> Floats:
        columns = np.flatnonzero(wet[order].any(axis=1))
        pressure = np.zeros_like(source)
        if not len(columns):
            return pressure
        used = order[columns[0] : columns[-1] + 1]
        mask = wet[used].astype(float)
        band = np.zeros((self.widths + 1, len(used), self.widths))
        band[0] = np.where(wet[used], self.diagonal[used], 1.0)
        if self.widths > 1:
            band[1, :, :-1] = -self.sideways[used, :-1] * mask[:, :-1] * mask[:, 1:]
        band[self.widths, :-1] += -self.around[used[:-1]] * mask[:-1] * mask[1:]
        known = (source[used] * mask).ravel()
        flat = solveh_banded(
            band.reshape(self.widths + 1, -1), known, lower=True, check_finite=False,
            overwrite_ab=True, overwrite_b=True,
        )  # fmt: skip
        pressure[used] = flat.reshape(len(used), self.widths)
        return pressure


def angle_marks(eccentricity: float, count: int) -> Floats:
    """Angles from the thinnest film that crowd where the film is thin, from -pi, shape (count,).

    Part of the marks lie evenly, part at even steps of Sommerfeld's angle, whose spacing goes
    with the film thickness.
    """
    r = np.sqrt((1 - eccentricity) / (1 + eccentricity))
    sommerfeld = np.linspace(-np.pi, np.pi, 40 * count + 1)
    plain = 2 * np.arctan2(r * np.sin(sommerfeld / 2), np.cos(sommerfeld / 2))
    mixed = EVEN_SHARE * plain + (1 - EVEN_SHARE) * sommerfeld
    wanted = -np.pi + 2 * np.pi * np.arange(count) / count
    gamma = np.interp(wanted, mixed, sommerfeld)
    for _ in range(3):  # Newton from the nearest tabulated value: to rounding
        plain = 2 * np.arctan2(r * np.sin(gamma / 2), np.cos(gamma / 2))
        slope = r / (np.cos(gamma / 2) ** 2 + (r * np.sin(gamma / 2)) ** 2)
        gamma -= (EVEN_SHARE * plain + (1 - EVEN_SHARE) * gamma - wanted) / (
            EVEN_SHARE * slope + 1 - EVEN_SHARE
        )
    return np.asarray(2 * np.arctan2(r * np.sin(gamma / 2), np.cos(gamma / 2)))


def raimondi_boyd(solver: FilmSolver, film: Film) -> Floats:
    """Raimondi and Boyd's quantities of a steady film that starts at the widest gap.

    film is what `solver.solve(0, -e, ambient_at_widest=True)` answered.

    Returns
    -------
    Shape (7,): Sommerfeld number (R/c)² µ N L D / W [-], attitude angle [rad], flow into the
    film Q/(R c N L) [-], side flow over it [-], mean over greatest pressure [-], angle from the
    greatest pressure on to the thinnest film [rad], angle from there on to the film's end [rad].

    Source: Raimondi and Boyd, ASLE Trans. 1 (1958), 159-209, for definitions.
    """
    e = solver.eccentricity
    load = np.hypot(film.toward, film.along)
    middle, mean_width = film.pressure[:, 0], solver.width_step[:-1]
    into_face = solver.around[0] * film.pressure[1] - e * mean_width * _half_cell_sine(solver)
    flow = np.pi * (1 + e - into_face.sum())
    edge = solver.sideways[:, -1] * film.pressure[:, -1]
    edge -= e * solver.sines * solver.width_step[-1] * (film.pressure[:, -1] > 0)
    peak, height = _peak(solver.angle, middle)
    return np.array(
        [
            1 / (6 * np.pi * load),
            np.arctan2(-film.along, film.toward),
            flow,
            np.pi * edge.sum() / flow,
            load / (2 * height),
            -peak,
            _film_end(solver.angle, middle),
        ]
    )


def _half_cell_sine(solver: FilmSolver) -> float:
    """Integral of sin(psi) over the half cell behind the widest gap."""
    return float(np.cos(solver.angle[0]) - np.cos(solver.angle_face[0]))


def _peak(angle: Floats, pressure: Floats) -> tuple[float, float]:
    """Angle and height of the greatest pressure: the parabola through the three top cells."""
    top = int(np.argmax(pressure))
    around = slice(max(top - 1, 0), top + 2)
    bow, slope, level = np.polyfit(angle[around] - angle[top], pressure[around] / pressure[top], 2)
    shift = -slope / (2 * bow)
    return float(angle[top] + shift), float(pressure[top] * (level + slope * shift / 2))


def _film_end(angle: Floats, pressure: Floats) -> float:
    """Where the film ends: its pressure leaves zero as a square, so its root leaves as a line."""
    last = int(np.flatnonzero(pressure)[-1])
    near, far = np.sqrt(pressure[last]), np.sqrt(pressure[last - 1])
    return float(angle[last] + (angle[last] - angle[last - 1]) * near / (far - near))
