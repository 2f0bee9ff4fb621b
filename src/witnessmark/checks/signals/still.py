"""Stretches in which a channel does not move at all."""

import numpy as np

from witnessmark.checks.signals.readings import Runs
from witnessmark.model.log import Floats


def still_runs(values: Floats, at_least: int) -> Runs:
    """Runs of at least so many equal values, as first and last index.

    Parameters
    ----------
    values : No NaN. Shape (n,).
    at_least : Values a run must have, 2 or more. [-]

    Limits: exact at any length. A run that long covers two neighbouring marks set half that far
    apart, so only where two marks agree are the values between them looked at.
    """
    stride = max(at_least // 2, 1)
    marks = values[::stride]
    agree = np.flatnonzero(marks[1:] == marks[:-1])
    if not len(agree):
        return []
    if stride > 1:
        between = values[: (len(values) - 1) // stride * stride].reshape(-1, stride)[agree]
        agree = agree[between.min(axis=1) == between.max(axis=1)]
    runs: list[tuple[int, int]] = []
    breaks = np.flatnonzero(np.diff(agree) > 1) + 1
    for group in np.split(agree, breaks):
        if len(group):
            first = _outward(values, int(group[0]) * stride, -1, stride)
            last = _outward(values, int(group[-1] + 1) * stride, 1, stride)
            if last - first + 1 >= at_least:
                runs.append((first, last))
    return runs


def _outward(values: Floats, at: int, way: int, reach: int) -> int:
    """The last index from `at` on, going one way, at which the value is still the same."""
    part = values[max(at - reach, 0) : at + 1][::-1] if way < 0 else values[at : at + reach + 1]
    other = part != values[at]
    return at + way * (int(other.argmax()) - 1 if other.any() else len(part) - 1)
