"""Engine speed and road speed, tied together by gears, final drive and tyre.

The tyre is taken as a rigid circle of its free diameter. Under load and at speed a tyre rolls
a few per cent less far in a turn, so a true engine speed lies a few per cent higher.
"""

import math

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.numbers import Numbers

Floats = NDArray[np.float64]

_FINE = 8  # places a gear's half width is cut into to find its middle


def tyre_diameter(width: float, aspect: float, rim: float) -> float:
    """Free outside diameter of a tyre.

    Parameters
    ----------
    width : Nominal section width. [m]
    aspect : Section height over section width. [-]
    rim : Nominal rim diameter. [m]

    Returns
    -------
    Rim plus two section heights. [m]

    Source: tyre size convention of ISO 4000-1 and the ETRTO manual (from memory).
    """
    return rim + 2 * aspect * width


def circumference(diameter: float) -> float:
    """Distance rolled in one turn of the wheel, free tyre.

    Parameters
    ----------
    diameter : Outside diameter of the tyre. [m]

    Returns
    -------
    Distance a turn. [m]

    Source: circumference of a circle.
    """
    return math.pi * diameter


def turns_per_distance(diameter: float) -> float:
    """Turns of the wheel for each metre of road, free tyre.

    Parameters
    ----------
    diameter : Outside diameter of the tyre. [m]

    Returns
    -------
    Turns per metre. [1/m]

    Source: circumference of a circle.
    """
    return 1 / circumference(diameter)


def engine_speed(road_speed: Numbers, ratio: float, diameter: float) -> Numbers:
    """Engine speed at a road speed, clutch closed and no wheel slip.

    Parameters
    ----------
    road_speed : Speed of the car. [m/s]
    ratio : Engine turns for one turn of the wheel: gear times final drive. [-]
    diameter : Outside diameter of the driven tyre. [m]

    Returns
    -------
    Engine speed. [rev/s]

    Source: rolling without slip. In mph and inches it is the trade's 336 rule:
    rpm = mph * 336.135 * ratio / diameter, with 336.135 = 63360 / (60 pi).
    """
    return road_speed * (ratio / circumference(diameter))


def road_speed(engine_speed: Numbers, ratio: float, diameter: float) -> Numbers:
    """Road speed at an engine speed, clutch closed and no wheel slip.

    Parameters
    ----------
    engine_speed : Engine speed. [rev/s]
    ratio : Engine turns for one turn of the wheel: gear times final drive. [-]
    diameter : Outside diameter of the driven tyre. [m]

    Returns
    -------
    Speed of the car. [m/s]

    Source: rolling without slip.
    """
    return engine_speed * (circumference(diameter) / ratio)


def ratio_clusters(
    ratios: Floats, seconds: Floats, width: float, step: float, least: float
) -> Floats:
    """Ratios at which a car spends its time: the gears it was driven in.

    Parameters
    ----------
    ratios : Engine turns for each metre of road, over 0. Shape (n,). [1/m]
    seconds : Time each sample stands for. Shape (n,). [s]
    width : Half width of a gear, as a share of its ratio. [-]
    step : Least step from one gear to the next, over 1. [-]
    least : Time a gear needs to count. [s]

    Returns
    -------
    Median ratio of each gear, lowest gear (most turns) first; none where time is spread evenly,
    as a belt drive or a slipping converter spreads it. [1/m]

    Limits: a gear must hold twice the time that lies just beside it, and gears nearer than
    `step` are one. Source: own; a gear is a straight line through rest in engine over road speed.
    """
    if not len(ratios):
        return np.empty(0)
    x, fine = np.log(ratios), width / _FINE
    low, pad = float(x.min()), 2 * _FINE
    time = np.pad(np.bincount(((x - low) / fine).astype(np.int64), seconds), pad)
    # Time within a width of each place, and in the band of one width on its busier side.
    inner = np.convolve(time, np.ones(2 * _FINE + 1), "same")
    beside = np.convolve(time, np.ones(2 * (_FINE // 2) + 1), "same")
    away = _FINE + _FINE // 2 + 1
    busier = np.maximum(np.roll(beside, away), np.roll(beside, -away))
    # A gear's middle is where its time weighs most, nearer time more.
    weight = np.convolve(time, 1.0 - np.abs(np.arange(-_FINE, _FINE + 1)) / (_FINE + 1), "same")
    around = np.lib.stride_tricks.sliding_window_view(
        np.pad(weight, _FINE, mode="symmetric"), 2 * _FINE + 1
    )
    peak = weight >= around.max(axis=1)
    good = np.flatnonzero(peak & (inner >= least) & (inner >= 4 * busier))
    found: list[float] = []
    for at in good[np.argsort(-weight[good], kind="stable")].tolist():
        centre = low + (at - pad + 0.5) * fine
        if all(abs(centre - other) >= np.log(step) for other in found):
            found.append(centre)
    return np.array(sorted((_middle(x, seconds, c, width) for c in found), reverse=True))


def _middle(x: Floats, seconds: Floats, centre: float, width: float) -> float:
    """Ratio that half the time within a width of a place lies under."""
    near = np.abs(x - centre) <= width
    order = np.argsort(x[near])
    passed = np.cumsum(seconds[near][order])
    half = int(np.searchsorted(passed, passed[-1] / 2))
    return float(np.exp(x[near][order][half]))
