"""A noisy trace as a staircase: where it changes from one level to another."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def stair_edges(values: Floats, penalty: float) -> list[int]:
    """Edges of the staircase that fits best: least squared misfit plus a price for each stair.

    Parameters
    ----------
    values : Samples at equal times, no NaN, shape (n,). Any unit.
    penalty : Misfit a further stair must save to be worth having. Unit of values squared.

    Returns
    -------
    [0, ..., n]: stair k is values[edges[k]:edges[k + 1]]. [-]

    Limits: exact. Two stairs of n samples each a height h apart save n h²/2. Time grows with n
    times the length of a stair.
    Source: R. Killick, P. Fearnhead, I. A. Eckley, "Optimal detection of changepoints with a
    linear computational cost", J. Am. Stat. Assoc. 107 (2012), eq. 2 and theorem 3.1.
    """
    n = len(values)
    centred = values - (values.mean() if n else 0.0)
    one = np.concatenate([[0.0], np.cumsum(centred)])
    two = np.concatenate([[0.0], np.cumsum(centred**2)])
    least = np.full(n + 1, -penalty)
    came_from = np.zeros(n + 1, dtype=np.int64)
    live = np.zeros(1, dtype=np.int64)  # where the last stair may still begin
    for end in range(1, n + 1):
        total = one[end] - one[live]
        misfit = least[live] + two[end] - two[live] - total**2 / (end - live)
        best = misfit.argmin()
        least[end] = misfit[best] + penalty
        came_from[end] = live[best]
        live = np.append(live[misfit <= least[end]], end)
    edges = [n]
    while edges[-1] > 0:
        edges.append(int(came_from[edges[-1]]))
    return edges[::-1] if n else [0]


def crossing(values: Floats, before: float, after: float) -> int:
    """Sample at which a trace steps from one level to another.

    Parameters
    ----------
    values : Samples around the step, no NaN, shape (n,). Any unit.
    before, after : The two levels, same unit.

    Returns
    -------
    The first sample that belongs to the second level, 0 to n: least squared misfit. [-]
    """
    gain = (values - before) ** 2 - (values - after) ** 2
    return int(np.concatenate([[0.0], np.cumsum(gain)]).argmin())
