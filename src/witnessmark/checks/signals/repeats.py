"""Readings that were written again and again until a new one came."""

import numpy as np

from witnessmark.checks.signals.rules import ReadingRule
from witnessmark.model.log import Floats


def refresh_interval(
    clock: Floats, values: Floats, step: float | None, rule: ReadingRule
) -> float | None:
    """Time between new values, where the log writes each of them several times.

    Parameters
    ----------
    clock, values : Neighbouring samples of a channel that moves fast, no NaN. Shape (n,). [s]
    step : Its smallest step, None without one. Unit of the values.

    Returns
    -------
    Seconds; None where every sample may be a reading of its own.

    Limits: a value that jumps by several steps between two samples, yet never moves in the
    sample after, was not read there. Slow channels do not jump and are not accused.
    """
    changes = np.flatnonzero(values[1:] != values[:-1]) + 1
    if len(changes) < rule.repeat_changes:
        return None
    between = np.diff(changes)
    quarter = len(between) // 4
    if np.count_nonzero(between == 1) > quarter:
        return None
    base = float(np.partition(between, quarter)[quarter])
    jumps = np.abs(values[changes] - values[changes - 1])
    if step and np.median(jumps) < rule.repeat_jump * step:
        return None
    times = between / base
    regular = (np.abs(times - np.round(times)) <= 0.15) & (np.round(times) >= 1)
    if regular.mean() < rule.repeat_regular:
        return None
    return base * float(np.median(np.diff(clock)))
