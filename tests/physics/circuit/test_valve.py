import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from witnessmark.physics.circuit.valve import (
    opening_and_gradient,
    relief_flow,
    relief_flow_by_lift,
)

VALVE = {"seat_diameter": 12e-3, "spring_force": 45.0, "spring_rate": 4000.0, "discharge": 0.6}


def test_a_relief_valve_keeps_climbing():
    # Definition of opening and gradient; above the opening each litre a minute costs the same.
    assert relief_flow(399e3, 400e3, 3e8) == 0
    assert_allclose(relief_flow(np.array([430e3, 460e3]), 400e3, 3e8), [1e-4, 2e-4])
    assert relief_flow(9e9, np.inf, 3e8) == 0


def test_lift_is_the_balance_of_pressure_and_spring():
    # By hand: area π/4 12² mm², 1 mm of lift needs 45 + 4 N: p = 49 / A; curtain π 12 mm × 1 mm.
    pressure = 49.0 / (math.pi / 4 * 12e-3**2)
    flow = relief_flow_by_lift(pressure, 850.0, **VALVE)
    assert_allclose(flow, 0.6 * math.pi * 12e-3 * 1e-3 * math.sqrt(2 * pressure / 850))


def test_a_cone_opens_by_the_sine_of_its_angle():
    pressure = 49.0 / (math.pi / 4 * 12e-3**2)
    flat = relief_flow_by_lift(pressure, 850.0, **VALVE)
    cone = relief_flow_by_lift(pressure, 850.0, seat_angle=math.pi / 6, **VALVE)
    assert_allclose(cone, flat / 2)


def test_fully_lifted_the_seat_itself_is_the_throat():
    # A quarter of the diameter of lift: the curtain is the seat's area, and no more beyond.
    flow = relief_flow_by_lift(5e6, 850.0, **VALVE)
    assert_allclose(flow, 0.6 * math.pi / 4 * 12e-3**2 * math.sqrt(2 * 5e6 / 850))


def test_opening_and_gradient_are_the_start_of_the_lift_form():
    opening, gradient = opening_and_gradient(850.0, **VALVE)
    assert relief_flow_by_lift(opening * (1 - 1e-9), 850.0, **VALVE) == 0
    over = opening * 1e-5
    # The tangent; the root in the lift form bends it by half of 1e-5.
    assert_allclose(
        relief_flow_by_lift(opening + over, 850.0, **VALVE),
        relief_flow(opening + over, opening, gradient),
        rtol=1e-5,
    )


@pytest.mark.parametrize("form", ["line", "lift"])
def test_no_plateau_anywhere(form):
    pressure = np.linspace(0, 1e6, 2001)
    if form == "line":
        flow = relief_flow(pressure, 400e3, 3e8)
    else:
        flow = relief_flow_by_lift(pressure, 850.0, **VALVE)
    spilling = flow > 0
    assert spilling.any() and not spilling.all()
    assert np.all(np.diff(flow[spilling]) > 0)
