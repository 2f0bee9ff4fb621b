"""Whether channels move like those of an engine, over longer than one step of a sensor."""

import numpy as np

from witnessmark.logs.channels.vocabulary import Entry, vocabulary
from witnessmark.model.log import Floats

_GRID = 1.0  # s; slow quantities and gears are looked at once a second
_LATE = 1.5  # a window stretched longer than this by a pause in recording says nothing


def hurried(time: Floats, values: Floats, entry: Entry) -> float:
    """Share of a log over which a slow channel goes on changing faster than it can. [-]

    `time` [s], `values` [SI], shape (n,), NaN where there is no reading. 0 if the channel is not
    a slow one or the log is too short to say.
    """
    terms = vocabulary().moves
    if entry.kept_up is None:
        return 0.0
    when, read = _once_a_second(time, values)
    if not when.size or when[-1] - when[0] < terms.shortest:
        return 0.0
    first, last = _pairs(when, terms.window)
    if not first.size:
        return 0.0
    return float((np.abs(read[last] - read[first]) > entry.kept_up).mean())


def unrelated(time: Floats, engine: Floats, road: Floats) -> float | None:
    """How far the ratio of engine to road speed moves in the middle, if that is too far. [-]

    `engine` [rev/s] and `road` [m/s] of shape (n,) as `time` [s]. In gear the two move together,
    and there are few gear changes; None if they do, or if too little driving is shown.
    """
    terms = vocabulary().moves
    grid = _grid(time)
    turning, rolling = _held_at(time, engine, grid), _held_at(time, road, grid)
    driven = (turning > terms.ratio_engine) & (rolling > terms.ratio_speed)
    if driven.sum() * _GRID < terms.ratio_time:
        return None
    ratio = np.full(grid.shape, np.nan)
    np.log(turning / np.where(driven, rolling, 1.0), out=ratio, where=driven)
    first, last = _pairs(grid, terms.ratio_window)
    moved = np.abs(ratio[last] - ratio[first])
    moved = moved[np.isfinite(moved)]
    if moved.size * _GRID < terms.ratio_time:
        return None
    middle = float(np.median(moved))
    return middle if middle > terms.ratio else None


def _grid(time: Floats) -> Floats:
    return np.arange(time[0], time[-1], _GRID)


def _once_a_second(time: Floats, values: Floats) -> tuple[Floats, Floats]:
    """Readings thinned to one a second, with the times they were read at."""
    places = np.unique(np.searchsorted(time, _grid(time)))
    thin = values[places]
    if not np.isfinite(thin).all():
        fresh = np.flatnonzero(np.isfinite(values))
        if not fresh.size:
            return np.empty(0), np.empty(0)
        when = time[fresh]
        places = fresh[np.unique(np.searchsorted(when, _grid(when)))] if len(when) > 1 else fresh
        thin = values[places]
    return time[places], thin


def _held_at(time: Floats, values: Floats, grid: Floats) -> Floats:
    """The last reading before each moment of the grid."""
    thin: Floats = values[np.searchsorted(time, grid, side="right") - 1]
    if np.isfinite(thin).all():
        return thin
    fresh = np.flatnonzero(np.isfinite(values))
    if not fresh.size:
        return np.full(grid.shape, np.nan)
    place = np.searchsorted(time[fresh], grid, side="right") - 1
    held: Floats = np.where(place >= 0, values[fresh[np.maximum(place, 0)]], np.nan)
    return held


def _pairs(when: Floats, window: float) -> tuple[np.ndarray, np.ndarray]:
    """Places a window apart, without those that a pause has torn apart."""
    last = np.searchsorted(when, when + window)
    first = np.flatnonzero(last < len(when))
    last = last[first]
    near = when[last] - when[first] <= _LATE * window
    return first[near], last[near]
