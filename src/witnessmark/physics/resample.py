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
    return Steps(time, held, where & ~np.isnan(values), step).means(values)


class Steps:
    """Equal time steps over uneven samples, worked out once for several signals.

    Parameters
    ----------
    time, held, step : As for `step_means`.
    where : Samples that count; there no signal may be NaN. Shape (n,).
    """

    def __init__(self, time: Floats, held: Floats, where: NDArray[np.bool_], step: float) -> None:
        """See the class."""
        self.step = step
        n = max(1, int(np.ceil((time[-1] - time[0] + held[-1]) / step - 1e-9)))
        # The last sample before each edge stands on both sides of it.
        edges = np.arange(n + 1) * step
        self._last = np.searchsorted(time, time[0] + edges, side="right") - 1
        self._counts, self._lasts = where, np.where(where, held, 0.0)
        since = time[self._last] - time[0]
        self._partly = np.minimum(edges - since, self._lasts[self._last])
        self.weight = np.diff(self._before(self._lasts) + self._partly)

    def means(self, values: Floats) -> Floats:
        """Mean of each step, NaN where less than half of it counts. Unit of the values."""
        amounts = np.zeros(len(values))
        np.multiply(values, self._lasts, out=amounts, where=self._counts)
        edge = np.where(self._counts[self._last], values[self._last], 0.0)
        total = np.diff(self._before(amounts) + self._partly * edge)
        mean: Floats = np.full(len(self.weight), np.nan)
        np.divide(total, self.weight, out=mean, where=self.weight >= 0.5 * self.step)
        return mean

    def _before(self, amounts: Floats) -> Floats:
        """Sum of all amounts before the last sample of each edge."""
        # Sums between two edges, then summed up: a tenth of the work of a sum at every sample.
        pieces = np.add.reduceat(amounts, self._last)
        pieces[:-1][np.diff(self._last) == 0] = 0.0  # reduceat gives the sample itself there
        before: Floats = np.concatenate([[0.0], np.cumsum(pieces[:-1])])
        return before
