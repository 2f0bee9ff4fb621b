"""Engine speed and road speed, tied together by gears, final drive and tyre.

The tyre is taken as a rigid circle of its free diameter. Under load and at speed a tyre rolls
a few per cent less far in a turn, so a true engine speed lies a few per cent higher.
"""

import math

from witnessmark.physics.numbers import Numbers


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
