"""What a slow instrument, or a slowly warming engine, makes of what it follows."""

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def follow(time: Floats, values: Floats, lag: float) -> Floats:
    """What a slow sender makes of a signal: first-order lag.

    Parameters
    ----------
    time : Increasing, shape (n,). [s]
    values : Shape (n,); NaN holds the last value.
    lag : Time constant, 0 for none. [s]

    Returns
    -------
    Shape (n,), in the unit of values.

    Source: first-order instrument, exact for a signal that holds between samples.
    """
    if lag <= 0:
        return values
    keep = np.exp(-np.diff(time, prepend=time[0]) / lag)
    out = np.empty_like(values)
    last = values[np.flatnonzero(np.isfinite(values))[0]]
    for i, (share, value) in enumerate(zip(keep.tolist(), values.tolist(), strict=True)):
        if not math.isnan(value):
            last = share * last + (1 - share) * value
        out[i] = last
    return out
