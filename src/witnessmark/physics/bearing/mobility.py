"""How easily a load moves the journal: mobility of a film of finite length, from a table.

The table holds mobility over its short-bearing limit, so the limit's steep run with the film
thickness is exact and what is read off the table varies mildly. A `MobilityMap` serves one
length; make it once when the orbit asks thousands of times.
"""

from functools import cache, lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline

from witnessmark.physics.bearing.axes import (
    LONGEST_MOBILE,
    MOBILITY_RATIOS,
    TABLES,
    eccentricity_axis,
)
from witnessmark.physics.bearing.steady import checked_ratio

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
LEAST_GAP = 1e-6  # film over clearance at which a journal at or through the wall is read
NO_ANGLE = 1e-300  # lets a journal dead opposite the load, or centred, have a direction
DEPTHS, TURNS = 320, 160  # cells of the fine map, read by straight lines
NODES = (DEPTHS + 1) * (TURNS + 1)


class MobilityMap:
    """Mobility at one length over diameter.

    length_ratio : Length over diameter, 0.05 to 2.5. [-]
    Calling it with `along` and `across` answers as `mobility` does.
    """

    def __init__(self, length_ratio: float) -> None:
        """Draw the fine map, or take it up again where it was drawn before."""
        self.length_ratio = float(checked_ratio(length_ratio, LONGEST_MOBILE))
        self._table = _fine_map(self.length_ratio)
        self._short = 1 / (np.pi * self.length_ratio**2)

    def __call__(self, along: ArrayLike, across: ArrayLike) -> tuple[Floats, Floats]:
        """Mobility along and across the load; arguments and answer as `mobility`."""
        xi, eta = np.asarray(along, dtype=float), np.asarray(across, dtype=float)
        return _read(self._table, 0, xi, eta, self._short)


def mobility(along: ArrayLike, across: ArrayLike, length_ratio: ArrayLike) -> tuple[Floats, Floats]:
    """Mobility of a journal in a plain full bearing of finite length.

    Parameters
    ----------
    along, across : Journal offset over radial clearance, along the load and 90° on. [-]
    length_ratio : Length over diameter, 0.05 to 2.5. [-]

    Returns
    -------
    (along, across), each the broadcast shape: M in d(e/c)/dt = |F| (c/R)² M / (L D µ), seen from
    the frame that turns with the mean speed of journal and sleeve. [-]

    Limits: one viscosity, rigid round surfaces, no feed hole or groove in the film, no film
    history (Yu and Sawicki 2002: such a film reads thicker than one that keeps count of its oil).
    Within 1 % of a fresh solution up to e = 0.995 (tests); from 0.9995 on it follows the short
    bearing's law, and a journal at or past the wall is read just off it.

    Source: J. F. Booker, ASME J. Basic Eng. 87 (1965) 537, for the method; own solution.
    """
    ratio = checked_ratio(length_ratio, LONGEST_MOBILE)
    xi, eta = np.asarray(along, dtype=float), np.asarray(across, dtype=float)
    shape = np.broadcast_shapes(xi.shape, eta.shape, ratio.shape)
    values, which = np.unique(ratio, return_inverse=True)
    start: int | NDArray[np.int64] = 0
    if len(values) == 1:
        table, xi = _fine_map(float(values[0])), np.broadcast_to(xi, shape)
    else:
        table = np.concatenate([_fine_map(float(value)) for value in values])
        start = which.reshape(ratio.shape) * NODES
    return _read(table, start, xi, eta, 1 / (np.pi * ratio**2))


def _read(
    table: Complexes,
    start: int | NDArray[np.int64],
    xi: Floats,
    eta: Floats,
    short: float | Floats,
) -> tuple[Floats, Floats]:
    """Straight lines on the fine map, times Booker's (gap, -4 eta/pi) gap^1.5/(pi (L/D)²).

    Written for the orbit, which calls it thousands of times on few states: no step is there
    for looks.
    """
    size = np.hypot(xi, eta)
    left = np.maximum(1 - size, LEAST_GAP)
    gap = np.maximum(1 - xi, LEAST_GAP)
    stretch = np.cbrt((1 + size) / left)
    # tan(angle/2) = |eta|/(size + xi), stretched as in `axes.crowded_angle`.
    turn = np.arctan2(stretch * np.abs(eta) + NO_ANGLE, size + xi) * (2 / np.pi * TURNS)
    column = np.minimum(turn, TURNS - 1).astype(np.intp)
    depth = np.minimum(np.log(left) * _PER_DEPTH, DEPTHS)
    row = np.minimum(depth, DEPTHS - 1).astype(np.intp)
    at = row * (TURNS + 1) + column + start
    over, down = np.minimum(turn, TURNS) - column, depth - row
    near, far = table.take(at), table.take(at + (TURNS + 1))
    near = near + over * (table.take(at + 1) - near)
    far = far + over * (table.take(at + (TURNS + 2)) - far)
    share = near + down * (far - near)
    scale = gap * np.sqrt(gap) * short
    return scale * gap * share.real, scale * eta * share.imag


_PER_DEPTH = -DEPTHS / float(eccentricity_axis(2)[-1])


@lru_cache(maxsize=64)
def _fine_map(length_ratio: float) -> Complexes:
    """Mobility over its short limit (along; across times -4/pi) on an even fine grid, flat."""
    rows = _table()(np.log(length_ratio))  # nodes of depth, (along, across), nodes of angle
    fine = CubicSpline(eccentricity_axis(rows.shape[0]), rows)(eccentricity_axis(DEPTHS + 1))
    even = np.linspace(0.0, np.pi, rows.shape[-1])
    # Mirror symmetry about the load line makes both even there.
    angle = np.linspace(0.0, np.pi, TURNS + 1)
    share = np.exp(CubicSpline(even, fine, axis=2, bc_type="clamped")(angle))
    return np.asarray((share[:, 0] - 4j / np.pi * share[:, 1]).ravel())


@cache
def _table() -> CubicSpline:
    with np.load(TABLES / "mobility.npz") as stored:
        rows = stored["rows"].astype(float)
    return CubicSpline(np.log(MOBILITY_RATIOS), rows)
