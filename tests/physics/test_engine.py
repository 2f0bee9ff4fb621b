import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.engine import displacement, mean_piston_speed


# The trade's rule, bore x bore x stroke x 0.7854 x cylinders (from memory; 0.7854 is pi/4 cut to
# four figures, hence the tolerance of half its last figure).
@pytest.mark.parametrize(("bore", "stroke", "cylinders"), [(4.0, 3.5, 8), (3.3, 3.5, 4)])
def test_displacement_against_the_trades_rule(bore, stroke, cylinders):
    rule = bore * bore * stroke * 0.7854 * cylinders
    assert_allclose(displacement(bore, stroke, cylinders), rule, rtol=0.00005 / 0.7854)


def test_displacement_of_a_cylinder_of_unit_volume():
    # Area of a circle of diameter 2/sqrt(pi) is 1: exact.
    assert_allclose(displacement(2 / math.sqrt(math.pi), 1.0, 1), 1.0, rtol=1e-15)


@given(st.floats(0.03, 0.2), st.floats(0.03, 0.2), st.integers(1, 16))
def test_displacement_grows_with_the_square_of_the_bore(bore, stroke, cylinders):
    one = displacement(bore, stroke, cylinders)
    assert_allclose(displacement(2 * bore, stroke, cylinders), 4 * one, rtol=1e-12)
    assert_allclose(displacement(bore, 2 * stroke, cylinders), 2 * one, rtol=1e-12)


def test_piston_speed_is_two_strokes_a_turn():
    # Definition: 100 mm up and 100 mm down, a hundred times a second, is 20 m/s.
    assert_allclose(mean_piston_speed(0.1, 100.0), 20.0, rtol=1e-15)


def test_piston_speed_takes_arrays():
    assert_allclose(mean_piston_speed(0.1, np.array([0.0, 50.0])), [0.0, 10.0])
