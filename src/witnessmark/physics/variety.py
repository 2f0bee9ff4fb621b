"""How evenly time is spread over the cells of a map."""

import numpy as np
from numpy.typing import NDArray


def effective_cells(seconds: NDArray[np.float64]) -> float:
    """Number of equally used cells that would be as varied as this map: the Hill number, order 1.

    Parameters
    ----------
    seconds : Time in each cell, any shape. [s]

    Returns
    -------
    exp(-sum p ln p) with p the share of time in a cell; 0 for an empty map. [-]

    Limits: between 1 (all in one cell) and the number of cells used; doubles when every cell
    is split evenly in two, so maps compare only on the same cell size.
    Source: M. O. Hill, Diversity and evenness, Ecology 54 (1973), 427-432, eq. for N1.
    """
    total = float(seconds.sum())
    if total <= 0.0:
        return 0.0
    share = seconds[seconds > 0] / total
    return float(np.exp(-np.sum(share * np.log(share))))
