"""The smallest step a channel moves by."""

import numpy as np

from witnessmark.model.log import Floats

_CONTINUOUS = 1e5  # steps in the range and more: no step worth the name
_ROUNDS = 12
_ENOUGH = 10  # gaps between values that show a staircase under its rounding


def smallest_step(distinct: Floats) -> float | None:
    """Common step of values that are its multiples, or were before somebody rounded them.

    Parameters
    ----------
    distinct : The different values seen, rising. Any unit. Shape (k,).

    Returns
    -------
    The step, unit of the values; None where there is one value only, or no step.

    Limits: a few values never seen side by side read as a wider step. Steps written with few
    figures (100/255 as 0.4) are taken back to their mean: 0.392, within what they leave.

    Source: Euclid's algorithm on the gaps, with a fiftieth of the step for rounding.
    """
    noise = 1e-9 * max(abs(float(distinct[0])), abs(float(distinct[-1])))
    gaps = np.diff(distinct)
    gaps = gaps[gaps > noise]
    if not len(gaps):
        return None
    span = float(distinct[-1] - distinct[0])
    step = float(gaps.min())
    for _ in range(_ROUNDS):
        if step * _CONTINUOUS < span:
            return None
        rest = np.abs(gaps - step * np.round(gaps / step))
        off = rest > max(0.02 * step, 10 * noise)
        if not off.any():
            break
        step = float(rest[off].min())
    return _staircase(gaps, step) or _mean_step(gaps, step)


def _mean_step(gaps: Floats, step: float) -> float:
    """The step that fits all gaps best: roundings of the last digit even out."""
    return float(gaps.sum() / np.round(gaps / step).sum())


def _staircase(gaps: Floats, rounding: float) -> float | None:
    """The wider step of a staircase whose values were rounded to `rounding`; None without one."""
    usual = float(np.median(gaps))
    if len(gaps) < _ENOUGH or usual < 2.5 * rounding:
        return None
    steps = np.maximum(np.round(gaps / usual), 1)
    wide = float(gaps.sum() / steps.sum())
    fits = np.abs(gaps - steps * wide) <= 1.02 * rounding
    return wide if fits.all() and gaps.min() >= wide - 1.02 * rounding else None
