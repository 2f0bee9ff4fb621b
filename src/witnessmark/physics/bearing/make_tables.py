"""Makes the tables that `steady` and `mobility` read: python -m ...bearing.make_tables [FOLDER].

Every entry is the Reynolds film solved on two grids and extrapolated to none (the error of each
falls with the square of its cell). What is stored, and on which axes, is in `axes.py`.
"""

import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from witnessmark.physics.bearing.axes import (
    MOBILITY_RATIOS,
    STEADY_RATIOS,
    TABLES,
    crowded_angle,
    eccentricity_axis,
    true_angle,
)
from witnessmark.physics.bearing.reynolds import Film, FilmSolver, Flags, Floats, raimondi_boyd
from witnessmark.physics.bearing.short import short_mobility

Complexes = NDArray[np.complex128]
STEADY_GRIDS = ((180, 10), (360, 20))
MOBILITY_GRIDS = ((72, 8), (144, 16))
STEADY_NODES, MOBILITY_NODES = 77, 27
DIRECTIONS, ANGLE_NODES = 49, 97
NEAR_CENTRE = 0.05  # eccentricity that stands for a centred journal in the mobility table
SMALLEST = 1e-4  # stands for a centred journal, where the Sommerfeld number itself is infinite


def film_row(eccentricity: float, length_ratio: float) -> Floats:
    """Steady film without grid error: the columns of `raimondi_boyd`, shape (7,)."""
    solver = FilmSolver(eccentricity, length_ratio, *STEADY_GRIDS[0])
    film = solver.solve(0.0, -eccentricity, ambient_at_widest=True)
    finer = FilmSolver(eccentricity, length_ratio, *STEADY_GRIDS[1])
    finer_film = finer.solve(0.0, -eccentricity, ambient_at_widest=True, start=_finer(film))
    coarse, fine = raimondi_boyd(solver, film), raimondi_boyd(finer, finer_film)
    return fine + (fine - coarse) / 3


def _finer(film: Film) -> Flags:
    """The wetted cells of a film, on a grid of twice the cells: a good start there."""
    wet = np.repeat(film.pressure > 0, 2, axis=0)
    return wet if film.pressure.shape[1] == 1 else np.repeat(wet, 2, axis=1)


def mobility_row(eccentricity: float, length_ratio: float) -> Floats:
    """log(mobility / short mobility), along and across, at even crowded angles, (2, ANGLE_NODES).

    Mobility across a centred journal is naught over naught there; a journal a little off centre,
    averaged over the angles, stands for it.
    """
    e = max(eccentricity, NEAR_CENTRE)
    solvers = [FilmSolver(e, length_ratio, *grid) for grid in MOBILITY_GRIDS]
    angle = true_angle(np.linspace(0, np.pi, DIRECTIONS), e)
    direction = angle + np.angle(_short(e, angle, length_ratio))
    loads = np.array([_load(solvers, way) for way in direction])
    angle = np.angle(loads)
    angle[[0, -1]] = 0.0, np.pi
    found = np.exp(1j * (direction - angle)) / (6 * np.abs(loads))
    short, at = _short(e, angle, length_ratio), crowded_angle(angle, e)
    even = np.linspace(0, np.pi, ANGLE_NODES)
    along = CubicSpline(at, np.log(found.real / short.real), bc_type="clamped")(even)
    inner = slice(1, -1)
    share = found.imag[inner] / short.imag[inner]
    if eccentricity < NEAR_CENTRE:
        weight = np.sin(angle[inner]) ** 2
        flat = np.log(np.average(share, weights=weight))
        return np.stack([np.full(ANGLE_NODES, np.average(along)), np.full(ANGLE_NODES, flat)])
    # Even about both ends: mirrored there, because across the load line the ratio is 0/0.
    mirrored = np.concatenate([-at[inner][::-1], at[inner], 2 * np.pi - at[inner][::-1]])
    logs = np.log(share)
    across = CubicSpline(mirrored, np.concatenate([logs[::-1], logs, logs[::-1]]))(even)
    return np.stack([along, across])


def _short(eccentricity: float, angle: Floats, length_ratio: float) -> Complexes:
    along, across = eccentricity * np.cos(angle), -eccentricity * np.sin(angle)
    parts = short_mobility(along, across, length_ratio)
    return np.asarray(parts[0] + 1j * parts[1])


def _load(solvers: list[FilmSolver], direction: float) -> complex:
    """Load that moves the journal one way, without grid error; the coarse film starts the fine."""
    coarse = solvers[0].solve(np.cos(direction), np.sin(direction))
    fine = solvers[1].solve(np.cos(direction), np.sin(direction), start=_finer(coarse))
    toward = fine.toward + (fine.toward - coarse.toward) / 3
    return complex(toward, fine.along + (fine.along - coarse.along) / 3)


def make(folder: Path) -> None:
    """Solve and write both tables into a folder."""
    axis = eccentricity_axis(STEADY_NODES)
    eccentricity = np.maximum(-np.expm1(-axis), SMALLEST)
    ratios = (*STEADY_RATIOS, np.inf)
    rows = [[film_row(e, ratio) for e in eccentricity.tolist()] for ratio in ratios]
    np.savez_compressed(folder / "steady.npz", rows=np.asarray(rows))
    eccentricity = -np.expm1(-eccentricity_axis(MOBILITY_NODES))
    maps = [[mobility_row(e, ratio) for e in eccentricity.tolist()] for ratio in MOBILITY_RATIOS]
    np.savez_compressed(folder / "mobility.npz", rows=np.asarray(maps, dtype=np.float32))


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else TABLES)
