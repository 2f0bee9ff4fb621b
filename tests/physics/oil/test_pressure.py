import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.oil.pressure import barus, roelands


def test_barus_by_hand():
    # exp(0.15), exp(0.75), exp(1.5): arithmetic.
    ours = barus(1.0, 15e-9, np.array([10e6, 50e6, 100e6]))
    assert_allclose(ours, [1.161834, 2.117000, 4.481689], rtol=1e-6)


@pytest.mark.parametrize("law", [barus, roelands])
def test_no_pressure_no_change(law):
    assert law(0.01, 15e-9, 0.0) == 0.01


@given(st.floats(1e-3, 1.0), st.floats(5e-9, 35e-9))
def test_roelands_starts_as_steeply_as_barus(viscosity, coefficient):
    # By definition of the coefficient: d ln(viscosity)/dp at no pressure. 100 Pa is no pressure.
    slope = np.log(roelands(viscosity, coefficient, 100.0) / viscosity) / 100.0
    assert_allclose(slope, coefficient, rtol=1e-5)


@given(st.floats(1e-3, 0.5), st.floats(5e-9, 20e-9), st.floats(1e6, 1e9))
def test_roelands_lags_behind_barus(viscosity, coefficient, pressure):
    # With Roelands's exponent under 1, as oils have it, the curve bends down from Barus's line.
    if coefficient * 1.962e8 < np.log(viscosity / 6.315e-5):
        assert roelands(viscosity, coefficient, pressure) <= barus(viscosity, coefficient, pressure)


def test_roelands_two_ways_of_writing_it():
    # Source: Roelands (1966), ln eta = -9.67 + (ln eta0 + 9.67) (1 + 5.1e-9 p)^Z; here with the
    # printed, rounded constants. 5.1e-9 stands for 1/1.962e8 = 5.097e-9: 0.06 % of a logarithm
    # that is under 10.
    viscosity, coefficient, p = 0.04, 20e-9, 500e6
    height = np.log(viscosity) + 9.67
    z = coefficient / (5.1e-9 * height)
    printed = np.exp(-9.67 + height * (1 + 5.1e-9 * p) ** z)
    assert_allclose(roelands(viscosity, coefficient, p), printed, rtol=0.006)
