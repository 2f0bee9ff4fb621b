import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.gearing import (
    circumference,
    engine_speed,
    road_speed,
    turns_per_distance,
    tyre_diameter,
)

# Exact by definition: 1 in = 25.4 mm, 1 mi = 63,360 in (international yard of 1959).
INCH, MILE = 0.0254, 1609.344
MPH = MILE / 3600


def test_tyre_diameter_by_the_size_convention():
    # ISO 4000-1 and ETRTO convention (from memory): 245/40R18 is 18 in + 2 x 40 % of 245 mm.
    # 18 x 25.4 + 2 x 0.40 x 245 = 653.2 mm, exact.
    assert_allclose(tyre_diameter(0.245, 0.40, 18 * INCH), 0.6532, rtol=1e-12)


def test_turns_per_mile_of_the_free_tyre():
    # 1609.344 m / (pi x 0.6532 m) = 784.2: arithmetic, printed to one decimal.
    assert abs(turns_per_distance(0.6532) * MILE - 784.2) < 0.05


def test_the_trades_constant():
    # rpm = mph x 336.135 x ratio / tyre diameter in inches; 336.135 = 63360 / (60 pi).
    ours = engine_speed(1 * MPH, 1.0, 1 * INCH) * 60
    assert_allclose(ours, 63360 / (60 * math.pi), rtol=1e-12)
    assert abs(ours - 336.135) < 0.0005  # printed to three decimals


def test_engine_speed_at_sixty_miles_an_hour():
    # 60 mph, 3.73 final drive, direct gear, 653.2 mm: 60 x 336.135 x 3.73 / 25.7165 = 2925 rpm.
    assert abs(engine_speed(60 * MPH, 3.73, 0.6532) * 60 - 2925) < 0.5


def test_metric_form_of_the_same():
    # rpm = v [km/h] x ratio / (0.06 pi D [m]), from 1000 / 60 = 1 / 0.06.
    assert_allclose(
        engine_speed(100 / 3.6, 4.1, 0.65) * 60, 100 * 4.1 / (0.06 * math.pi * 0.65), rtol=1e-12
    )


@given(st.floats(0.1, 90), st.floats(0.5, 20), st.floats(0.4, 1.0))
def test_there_and_back(speed, ratio, diameter):
    assert_allclose(road_speed(engine_speed(speed, ratio, diameter), ratio, diameter), speed)


def test_arrays_in_arrays_out():
    speeds = engine_speed(np.array([0.0, 10.0]), 4.0, 1 / math.pi)
    assert_allclose(speeds, [0.0, 40.0])


def test_a_turn_of_the_wheel():
    assert circumference(1.0) == pytest.approx(3.14159265, abs=1e-8)  # pi
