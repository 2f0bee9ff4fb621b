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
    counts = where & ~np.isnan(values)
    lasts = np.where(counts, held, 0.0)
    signal = np.where(counts, values, 0.0)
    # Both integrals up to each edge: whole samples before it, and what the last one adds.
    edges = np.arange(n + 1) * step
    last = np.searchsorted(since, edges, side="right") - 1
    partly = np.minimum(edges - since[last], lasts[last])
    weight = np.diff(_before(lasts)[last] + partly)
    total = np.diff(_before(lasts * signal)[last] + partly * signal[last])
    mean: Floats = np.full(n, np.nan)
    np.divide(total, weight, out=mean, where=weight >= 0.5 * step)
    return mean


def _before(amounts: Floats) -> Floats:
    """Sum of all amounts before each one."""
    running: Floats = np.cumsum(amounts)
    return running - amounts
