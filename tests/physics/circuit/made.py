"""Invented circuits for the tests: sizes of a road engine, no real one."""

import math

import numpy as np

from witnessmark.physics.circuit.leak import feed_head
from witnessmark.physics.circuit.network import Circuit, Leak, Orifice, State


def hole(millimetres, count=1, opening=0.0, name="hole", length_ratio=4.0):
    return Orifice(math.pi / 4 * (millimetres * 1e-3) ** 2, length_ratio, count, opening, name)


def engine(scale=1.0, **changes):
    """Everything a build sheet can carry at once; scale multiplies every bearing's leakage."""
    parts = {
        "pump_displacement": 14e-6,
        "slip": 4e-15,
        "relief_opening": 517e3,
        "relief_gradient": 2.4e8,
        "filter_laminar": 5e9,
        "filter_turbulent": 1e8,
        "bypass_opening": 150e3,
        "bypass_gradient": 2e8,
        "cooler_laminar": 1e9,
        "cooler_turbulent": 2e7,
        "passage_laminar": 2e8,
        "passage_turbulent": 3e7,
        "leaks": (
            Leak(6 * 1.2e-12 * scale, name="mains"),
            Leak(5 * 8e-13 * scale, feed_head(0.055, 0.029), "rods"),
            Leak(12e-12 * scale, name="cams"),
        ),
        "orifices": (
            hole(1.4, 5, 200e3, "piston jets"),
            hole(1.0, name="turbo"),
            hole(0.8, name="tensioner"),
        ),
    }
    return Circuit(**{**parts, **changes})


def states(speeds=12, temperatures=9):
    """Speeds 0 to 7000 rpm by viscosities from a cold start to a hot lap."""
    speed = np.linspace(0, 7000, speeds)[:, None] / 60
    viscosity = np.geomspace(2.0, 0.004, temperatures)
    return State(speed, viscosity, np.linspace(880, 790, temperatures), 0.7 * viscosity)


def each(state):
    return state.speed, state.viscosity, state.density, state.film_viscosity
