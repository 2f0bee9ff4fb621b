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
    if not same and _steady(a, b):
        return Twins(Likeness.CANNOT_TELL, lag, difference, seconds, spread_there)
    return Twins(Likeness.SAME if same else Likeness.OTHER, lag, difference, seconds, spread_there)


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
    at = np.arange(len(a), dtype=float)
    best = (np.inf, lag, 0.0, 0.0)
    for tried in np.arange(lag - STEP, lag + STEP + _FINE / 2, _FINE):
        shifted = np.interp(at - tried / STEP, np.arange(len(b)), b, np.nan, np.nan)
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
