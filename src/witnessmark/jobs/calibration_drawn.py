"""What a picture of a calibration shows: what the gauge said and what the fit says."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.jobs.calibrate import calibrated
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.lubrication.calibration.readings import readings
from witnessmark.lubrication.calibration.terms import fit_terms
from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration
from witnessmark.model.log import Floats, Log, Mask
from witnessmark.physics.lag import follow

_LINES = 60  # points of a fitted line; its bends are rounder than that
_OILS = (0.05, 0.5, 0.95)  # of the oil temperatures in the logs: cool, middle, hot


@dataclass(frozen=True)
class FollowedLog:
    """One log beside its fit, all shape (n,): time [s], speed as the sender follows it [rev/s],
    temperature [K], what the gauge showed and what the fit says [Pa]; `usable` was looked at.
    """

    name: str
    time: Floats
    speed: Floats
    temperature: Floats
    shown: Floats
    fitted: Floats
    usable: Mask


@dataclass(frozen=True)
class FittedLine:
    """Pressure [Pa] over speed [rev/s] at one oil temperature [K]."""

    temperature: float
    speed: Floats
    pressure: Floats


@dataclass(frozen=True)
class CalibrationDrawn:
    """Everything there is to draw."""

    logs: tuple[FollowedLog, ...]
    lines: tuple[FittedLine, ...]


def drawn(sheet: BuildSheet, learned: Calibration, logs: Sequence[Log]) -> CalibrationDrawn:
    """The logs of a calibration beside its fit.

    Parameters
    ----------
    sheet, learned : The build and what was learned of it.
    logs : The logs it was learned from.

    Returns
    -------
    CalibrationDrawn. A fit is shown wherever the log shows speed and oil temperature.

    Raises UserError as `calibrated` and `calibrate` do.
    """
    terms = fit_terms(lubrication_book().fit)
    best, _ = calibrated(sheet, learned)
    found = []
    for log in logs:
        seen = readings(log, terms)
        speed = follow(seen.time, seen.speed, learned.lag)
        oil = follow(seen.time, seen.temperature, learned.soak)
        fitted = np.full(len(seen.time), np.nan)
        at = seen.usable
        fitted[at] = best.gauge(speed[at], oil[at])
        found.append(
            FollowedLog(seen.source.name, seen.time, speed, seen.temperature, seen.pressure,
                        fitted, at)
        )  # fmt: skip
    every = np.concatenate([log.temperature[log.usable] for log in found])
    slowest, fastest, *_ = learned.span
    speed = np.linspace(slowest, fastest, _LINES)
    lines = [
        FittedLine(float(oil), speed, best.gauge(speed, float(oil)))
        for oil in np.quantile(every, _OILS)
    ]
    return CalibrationDrawn(tuple(found), tuple(lines))
