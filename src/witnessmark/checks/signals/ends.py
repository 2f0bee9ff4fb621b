"""What happens at the ends of a channel's range: readings cut off there, or dropped to it."""

import numpy as np

from witnessmark.checks.signals.readings import Index, Runs
from witnessmark.checks.signals.rules import ReadingRule
from witnessmark.model.log import Floats, Mask

_UNSTEPPED = 1e-3  # of the range, where a channel has no step: a level as wide as this
_LEVELS = 5  # levels beside the end one that it is held against


def runs_of(mask: Mask) -> Runs:
    """First and last index of each stretch in which mask holds."""
    edges = np.flatnonzero(mask[1:] != mask[:-1]) + 1
    starts = np.r_[0, edges] if mask[0] else edges
    ends = np.r_[edges, len(mask)] if mask[-1] else edges
    if mask[0]:
        return list(zip(starts[::2].tolist(), (ends[::2] - 1).tolist(), strict=True))
    return list(zip(edges[::2].tolist(), (ends[1::2] - 1).tolist(), strict=True))


def pile(values: Floats, bottom: float, top: float, step: float | None, rule: ReadingRule) -> Runs:
    """Visits to the greatest value of a channel that is cut off there; none of a sound one.

    Parameters
    ----------
    values : No NaN; turned in sign for the low end. Shape (n,).
    bottom, top : Their least and their greatest.
    step : Smallest step of the channel, None without one. Unit of the values.

    Returns
    -------
    First and last index of each visit.

    Limits: a channel that comes to its end by single steps (a temperature) is not told from one
    that settles there, and is not accused. Readings that are cut off and then averaged neither.
    """
    span = top - bottom
    if span <= 0:
        return []
    level = step or _UNSTEPPED * span
    margin = 0.5 * step if step else 1e-9 * max(abs(top), span)
    at_top = values >= top - margin
    count = int(np.count_nonzero(at_top))
    if count < max(rule.pile_readings, rule.pile_share * len(values)):
        return []
    # The levels next to the end: a smooth signal leaves them fuller the nearer they lie.
    beside = values[(values >= top - margin - _LEVELS * level) & ~at_top]
    place = np.minimum(((top - margin - beside) / level).astype(int), _LEVELS - 1)
    if count < rule.pile_over_next * np.bincount(place, minlength=1).max():
        return []
    visits = runs_of(at_top)
    if max(last - first for first, last in visits) + 1 < rule.pile_run:
        return []
    # The last move before the end is cut short; the one before it shows the full pace.
    arrivals = [
        max(top - values[first - 1], values[first - 1] - values[max(first - 2, 0)])
        for first, _ in visits if first > 0
    ]  # fmt: skip
    if step and (not arrivals or np.median(arrivals) < rule.pile_arrival * step):
        return []
    return visits


def dropped(
    clock: Floats, values: Floats, bottom: float, step: float | None, leap: float,
    longest: float, returns: float,
) -> Runs:  # fmt: skip
    """Falls to the least value and back at once, with nothing between there and the signal.

    Parameters
    ----------
    clock, values : Readings, no NaN; values turned in sign for jumps to the high end. Shape (n,).
    bottom : Their least.
    step : Smallest step, None without one. Unit of the values.
    leap : A jump that no sound signal makes and takes back. Unit of the values.
    longest : Time a fall may last. [s]
    returns : Share of the jump within which the value must come back to where it was. [-]

    Returns
    -------
    First and last index of each fall.
    """
    margin = 0.5 * step if step else 1e-9 * max(abs(bottom), leap)
    low: Index = np.flatnonzero(values <= bottom + leap / 2)
    if len(low) > len(values) // 4 or not (values[low] <= bottom + margin).all():
        return []
    cuts = np.flatnonzero(np.diff(low) > 1)
    first, last = low[np.r_[0, cuts + 1]], low[np.r_[cuts, len(low) - 1]]
    inside = (first > 0) & (last < len(values) - 1)
    first, last = first[inside], last[inside]
    before, after = values[first - 1], values[last + 1]
    jump = np.minimum(before, after) - bottom
    found = (
        (jump >= leap)
        & (np.abs(before - after) <= returns * jump)
        & (clock[last + 1] - clock[first] <= longest)
    )
    return list(zip(first[found].tolist(), last[found].tolist(), strict=True))
