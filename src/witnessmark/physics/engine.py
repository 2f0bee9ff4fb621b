"""Sizes and speeds that follow from bore, stroke and engine speed alone."""

import math

from witnessmark.physics.numbers import Numbers


def displacement(bore: float, stroke: float, cylinders: int) -> float:
    """Volume all pistons sweep in one stroke.

    Parameters
    ----------
    bore : Cylinder diameter. [m]
    stroke : Piston travel. [m]
    cylinders : Number of cylinders. [-]

    Returns
    -------
    Swept volume of the engine. [m³]

    Source: volume of a cylinder; ISO 2710-1 names the term.
    """
    return math.pi / 4 * bore**2 * stroke * cylinders


def mean_piston_speed(stroke: float, speed: Numbers) -> Numbers:
    """Distance a piston travels in a turn, two strokes, times turns per second.

    Parameters
    ----------
    stroke : Piston travel. [m]
    speed : Engine speed. [rev/s]

    Returns
    -------
    Mean piston speed. [m/s]

    Source: definition; Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.9.
    """
    return 2 * stroke * speed
