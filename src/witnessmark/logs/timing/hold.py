"""One value a sample: polled channels held to their next reading, never for too long."""

import numpy as np

from witnessmark.model.log import Floats, Mask

# How long a sample may stand for what follows: three steps of the logger, but at least 3 s
# (a polled log stutters) and at most 15 s (in a longer gap the engine may have done anything).
_GAP_STEPS, _GAP_FLOOR, _GAP_CEILING = 3.0, 3.0, 15.0


def gap_limit(time: Floats) -> float:
    """Seconds beyond which the time between two samples is a pause in recording."""
    if len(time) < 2:
        return _GAP_FLOOR
    step = (time[-1] - time[0]) / (len(time) - 1)
    if step * _GAP_STEPS > _GAP_FLOOR:
        step = float(np.median(np.diff(time)))
    return float(min(max(_GAP_STEPS * step, _GAP_FLOOR), _GAP_CEILING))


def held(time: Floats, limit: float) -> tuple[Floats, int, float]:
    """Seconds each sample stands for, how many pauses there are, and their length in all."""
    steps = np.diff(time)
    if steps.max(initial=0.0) <= limit:
        usual = float(np.median(steps[-1000:])) if steps.size else 0.0
        return np.append(steps, usual), 0, 0.0
    paused = steps > limit
    usual = min(float(np.median(steps)), limit)
    lost = float(steps[paused].sum())
    # What came after the last sample before a pause is not known: one usual step, no more.
    steps = np.where(paused, usual, steps)
    return np.append(steps, usual), int(paused.sum()), lost


def hold(time: Floats, values: Floats, limit: float) -> Floats:
    """Each blank filled with the reading before it, if that is no older than the limit.

    `values`: fresh readings, NaN elsewhere, shape of `time`.
    """
    fresh: Mask = np.isfinite(values)
    if fresh.all():
        return values
    last = np.maximum.accumulate(np.where(fresh, np.arange(len(values)), -1))
    known = last >= 0
    source = np.maximum(last, 0)
    young = time - time[source] <= limit
    result: Floats = np.where(known & young, values[source], np.nan)
    return result
