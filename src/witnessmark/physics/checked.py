"""Refuses numbers no bearing and no oil circuit can have, in one sentence each."""

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.numbers import Floats

Array = NDArray[np.float64]


def checked(
    where: str,
    value: Floats,
    remedy: str,
    *,
    above: float | None = None,
    at_least: float | None = None,
    at_most: float | None = None,
    endless: bool = False,
) -> Array:
    """Value as an array, if every number in it lies within its limits.

    Parameters
    ----------
    where : What the number is, as the message shall call it.
    value : One number or an array. Any unit.
    remedy : What to do about a bad one, without a full stop.
    above, at_least, at_most : Limits in the unit of value; none where not given.
    endless : Whether infinity is allowed (a valve that never opens).

    Returns
    -------
    The value as float64, its own shape.

    Raises ValueError naming place, number found, what was wanted and the remedy.
    """
    numbers = np.asarray(value, dtype=np.float64)
    good = ~np.isnan(numbers) if endless else np.isfinite(numbers)
    wanted = ["a number" if endless else "a finite number"]
    for limit, allowed, words in (
        (above, np.greater, "above"),
        (at_least, np.greater_equal, "at least"),
        (at_most, np.less_equal, "at most"),
    ):
        if limit is not None:
            good = good & allowed(numbers, limit)
            wanted.append(f"{words} {limit:g}")
    if not good.all():
        found = float(numbers[~good].flat[0])
        raise ValueError(f"{where}: found {found:g}, wanted {', '.join(wanted)}; {remedy}")
    return numbers
