"""Several logs of one engine: each wanted once; one drive that two loggers took is one drive."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from witnessmark.errors import UserError
from witnessmark.model.log import Floats, Log

Waves = NDArray[np.complex128]

STEP = 1.0  # s, of a trace

# Conventions of looking, not limits on any engine. Two loggers of one drive differ by how they
# average, round and poll; what is left is far under what the driver did. Another drive, slid to
# wherever it fits best, still misses by about as much as the speed itself moves.
_SAME = 0.5  # of the spread of engine speed: the rms difference of one drive seen twice is less
_LEAST_SPREAD = 2.5  # rev/s; steadier running than this looks the same in any log of the engine
_LEAST_OVERLAP = 60.0  # s
_LEAST_SHARE = 0.5  # of the shorter of the two; loggers are started late, not for a moment only
_FINE = 0.1  # s; the lag is told to this
# Two short drives slid over each other may fit by chance. Taken for one only if that would happen
# in fewer pairs than this share: a thousand logs make half a million pairs.
_CHANCE = 1e-7
_CHANGE = 5  # steps over which a change of engine speed is taken


@dataclass(frozen=True)
class Trace:
    """Engine speed once a second. `speed`: mean of each second, NaN where not shown. [rev/s]"""

    speed: Floats


class Likeness(StrEnum):
    """What two traces say of each other."""

    SAME = "the same drive"
    OTHER = "another drive"
    CANNOT_TELL = "cannot be told"


@dataclass(frozen=True)
class Twins:
    """Two traces laid over each other where they fit best.

    `lag`: seconds from the start of the first to the start of the second, negative if the second
    began earlier. `difference`: rms of engine speed, second less first [rev/s]. `overlap` [s].
    `spread`: standard deviation of the first in the overlap [rev/s].
    """

    likeness: Likeness
    lag: float = 0.0
    difference: float = float("nan")
    overlap: float = 0.0
    spread: float = 0.0


def trace(log: Log) -> Trace:
    """Engine speed of a log once a second, each sample weighed by how long it stands."""
    if "engine_speed" not in log or not len(log.time):
        return Trace(np.empty(0))
    end = float(log.time[-1] + log.held[-1])
    bins = max(1, int(np.ceil(end / STEP)))
    speed = log["engine_speed"]
    known = np.isfinite(speed)
    if len(log.time) < 2 * bins:
        return Trace(_read_off(log, speed, bins))
    place = np.minimum((log.time / STEP).astype(np.int64), bins - 1)
    weight = np.bincount(place, np.where(known, log.held, 0.0), bins)
    total = np.bincount(place, np.where(known, speed, 0.0) * log.held, bins)
    with np.errstate(invalid="ignore", divide="ignore"):
        return Trace(np.where(weight > 0, total / weight, np.nan))


def _read_off(log: Log, speed: Floats, bins: int) -> Floats:
    """A slow log read off between its readings, at the middle of each second."""
    middle = (np.arange(bins) + 0.5) * STEP
    known = np.isfinite(speed)
    if known.sum() < 2:
        return np.full(bins, np.nan)
    found = np.interp(middle, log.time[known], speed[known], np.nan, np.nan)
    place = np.maximum(np.searchsorted(log.time, middle, side="right") - 1, 0)
    inside = middle <= log.time[place] + log.held[place] + STEP
    read: Floats = np.where(inside, found, np.nan)
    return read


def compare(first: Trace, second: Trace) -> Twins:
    """Whether two traces are one drive, by engine speed alone.

    Traces may begin at other moments and may be read at other rates. Where the speed hardly
    moves (a log of nothing but idle) it cannot be told.
    """
    a, b = first.speed, second.speed
    least = max(_LEAST_OVERLAP, _LEAST_SHARE * min(_shown(a), _shown(b))) / STEP
    if min(_shown(a), _shown(b)) < _LEAST_OVERLAP:
        return Twins(Likeness.CANNOT_TELL)
    lags, count, square, spread = _all_lags(a, b)
    ratio = np.where(
        (count >= least) & (spread >= _LEAST_SPREAD), square / np.maximum(spread, 1e-9), np.inf
    )
    best = int(np.argmin(ratio))
    if not np.isfinite(ratio[best]):
        return Twins(Likeness.CANNOT_TELL)
    lag, difference, spread_there, seconds = _fine(a, b, float(lags[best]))
    same = difference <= _SAME * spread_there
    likeness = Likeness.SAME if same else Likeness.OTHER
    by_chance = _by_chance(a, b, lag) if same else 0.0
    if by_chance > _CHANCE or (not same and _steady(a, b)):
        likeness = Likeness.CANNOT_TELL
    return Twins(likeness, lag, difference, seconds, spread_there)


def _by_chance(a: Floats, b: Floats, lag: float) -> float:
    """At most so large is the chance that two drives of nothing in common agree so well somewhere.

    Held against each other are the changes of engine speed, of which a drive has many more than
    it has levels. That n independent pairs correlate by r or more happens to at most
    (1 - r²)^((n - 2) / 2) of normal ones; tried at every independent lag.
    """
    one, other = (x[_CHANGE:] - x[:-_CHANGE] for x in (a, _shifted(a, b, lag)))
    both = np.isfinite(one) & np.isfinite(other)
    lasts = max(_memory(one), _memory(b[_CHANGE:] - b[:-_CHANGE]))
    moments = both.sum() * STEP / lasts
    if moments < 3 or not one[both].std() or not other[both].std():
        return 1.0
    alike = float(np.corrcoef(one[both], other[both])[0, 1])
    lags = (len(a) + len(b)) * STEP / lasts
    if alike <= 0:
        return 1.0
    return float(min(1.0, lags * max(1.0 - alike**2, 1e-12) ** (moments / 2 - 1)))


def _shifted(a: Floats, b: Floats, lag: float) -> Floats:
    """The second trace at the seconds of the first. Shape of `a`."""
    at = np.arange(len(a), dtype=float) - lag / STEP
    moved: Floats = np.interp(at, np.arange(len(b)), b, np.nan, np.nan)
    return moved


def _memory(speed: Floats) -> float:
    """Seconds after which engine speed is a new one: the sum of its autocorrelation."""
    level = np.where(np.isfinite(speed), speed - np.nanmean(speed), 0.0)
    size = 1 << (2 * len(level) - 1).bit_length()
    power = np.abs(np.fft.rfft(level, size)) ** 2
    alike = np.fft.irfft(power, size)[: len(level)]
    alike = alike / max(alike[0], 1e-12)
    ends = np.flatnonzero(alike <= 0)
    first = int(ends[0]) if ends.size else len(alike)
    return float(max(1.0, 2.0 * alike[:first].sum() - 1.0)) * STEP


def _shown(speed: Floats) -> float:
    return float(np.isfinite(speed).sum()) * STEP


def _steady(a: Floats, b: Floats) -> bool:
    """Whether one of them hardly moves at all."""
    return bool(min(np.nanstd(a), np.nanstd(b)) < _LEAST_SPREAD)


def _all_lags(a: Floats, b: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """For every lag: lag [s], seconds shown in both, rms difference and spread of `a` there.

    Sums over every overlap at once, by Fourier transforms: Σ(a-b)² = Σa² - 2Σab + Σb².
    """
    size = 1 << (len(a) + len(b) - 2).bit_length()  # a power of two goes quickest
    middle = float(np.nanmean(np.concatenate([a, b])))

    def spectra(x: Floats) -> tuple[Waves, Waves, Waves]:
        known = np.isfinite(x)
        level = np.where(known, x - middle, 0.0)
        return (
            np.fft.rfft(known.astype(float), size), np.fft.rfft(level, size),
            np.fft.rfft(level**2, size),
        )  # fmt: skip

    (am, ax, aq), (bm, bx, bq) = spectra(a), spectra(b)

    def over(one: Waves, other: Waves) -> Floats:
        sums: Floats = np.fft.irfft(one * np.conj(other), size)
        return sums

    count = np.rint(over(am, bm))
    many = np.maximum(count, 1.0)
    square = np.sqrt(np.maximum(over(aq, bm) - 2 * over(ax, bx) + over(am, bq), 0.0) / many)
    mean = over(ax, bm) / many
    spread = np.sqrt(np.maximum(over(aq, bm) / many - mean**2, 0.0))
    places = np.arange(size)
    lags = np.where(places < len(a), places, places - size) * STEP
    outside = (lags <= -len(b) * STEP) | (lags >= len(a) * STEP)
    return lags, np.where(outside, 0.0, count), square, spread


def _fine(a: Floats, b: Floats, lag: float) -> tuple[float, float, float, float]:
    """Lag between whole seconds, rms difference and spread there, and seconds of overlap."""
    best = (np.inf, lag, 0.0, 0.0)
    for tried in np.arange(lag - STEP, lag + STEP + _FINE / 2, _FINE):
        shifted = _shifted(a, b, float(tried))
        both = np.isfinite(a) & np.isfinite(shifted)
        if both.sum() < 2:
            continue
        difference = float(np.sqrt(np.mean((a[both] - shifted[both]) ** 2)))
        if difference < best[0]:
            best = (difference, float(tried), float(a[both].std()), float(both.sum()) * STEP)
    difference, tried, spread, seconds = best
    return tried, difference, spread, seconds


def refuse_twin(log: Log, others: Sequence[Log]) -> None:
    """Raise UserError if the log is, byte for byte, one of the others."""
    twin = next((each for each in others if each.source.sha256 == log.source.sha256), None)
    if twin is not None:
        raise UserError(
            log.source.name, f"it is the same log as {twin.source.name}",
            "each log is wanted once: twice the same teaches nothing more",
            "Take one of them out",
        )  # fmt: skip
