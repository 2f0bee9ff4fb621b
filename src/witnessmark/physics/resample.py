"""Samples at uneven times into equal time steps."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def step_means(
    time: Floats, held: Floats, values: Floats, where: NDArray[np.bool_], step: float
) -> Floats:
    """Mean over equal time steps of a signal that holds each value for a given time.

    Parameters
    ----------
    time : Strictly increasing sample times, shape (n,). [s]
    held : How long each sample stands, never past the next one, shape (n,). [s]
    values : Any unit; NaN counts for nothing. Shape (n,).
    where : Samples that count, shape (n,).
    step : Length of a step. [s]

    Returns
    -------
    Mean of each step from time[0] on, NaN where less than half the step counts. Unit of values.

    Limits: a sample longer than a step is shared out over the steps it spans. Exact
    time-weighted mean; no interpolation between samples.
    """
    since = time - time[0]
    n = max(1, int(np.ceil((since[-1] + held[-1]) / step - 1e-9)))
    cuts = np.union1d(since, np.arange(n) * step)
    source = np.searchsorted(since, cuts, side="right") - 1
    ends = np.minimum(np.append(cuts[1:], n * step), (since + held)[source])
    lasts = np.maximum(ends - cuts, 0.0)
    lasts = np.where(where[source] & ~np.isnan(values[source]), lasts, 0.0)
    cell = np.minimum((cuts / step + 1e-9).astype(np.int64), n - 1)
    weight = np.bincount(cell, lasts, n)
    total = np.bincount(cell, lasts * np.nan_to_num(values[source]), n)
    mean: Floats = np.full(n, np.nan)
    np.divide(total, weight, out=mean, where=weight >= 0.5 * step)
    return mean
