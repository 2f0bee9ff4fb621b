import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.oil.shear import carreau, carreau_time, cross, cross_time


def test_cross_half_way():
    # Identity: where time · rate = 1, half of the loss is reached: (10 + 5.5) / 2.
    assert cross(10.0, 5.5, 1e-6, 1e6) == 7.75
    assert cross(10.0, 5.5, 1e-6, 1e6, 0.8) == 7.75


def test_carreau_at_its_bend():
    # Identity: where time · rate = 1 and n = 0.5, 2^(-1/4) of the loss is left.
    assert_allclose(carreau(10.0, 5.5, 1e-6, 1e6), 5.5 + 4.5 * 2**-0.25, rtol=1e-15)


@pytest.mark.parametrize("model", [cross, carreau])
def test_ends(model):
    assert model(10.0, 5.5, 1e-6, 0.0) == 10.0
    assert_allclose(model(10.0, 5.5, 1e-6, 1e30), 5.5, rtol=1e-9)


@pytest.mark.parametrize(
    ("model", "solved", "exponents"),
    [(cross, cross_time, (0.6, 0.8, 1.0)), (carreau, carreau_time, (0.3, 0.5, 0.8))],
)
@given(kept=st.floats(0.55, 0.999))
def test_tied_to_hths(model, solved, exponents, kept):
    # HTHS is by definition (ASTM D4683) the viscosity at 1e6 1/s.
    for exponent in exponents:
        time = solved(3.7e-3, 1.85e-3, 3.7e-3 * kept, exponent)
        assert_allclose(model(3.7e-3, 1.85e-3, time, 1e6, exponent), 3.7e-3 * kept, rtol=1e-9)


@pytest.mark.parametrize("model", [cross, carreau])
@given(rate=st.floats(0.0, 1e8), more=st.floats(1.0, 1e8))
def test_faster_is_never_thicker(model, rate, more):
    assert model(10.0, 5.5, 1e-6, rate + more) <= model(10.0, 5.5, 1e-6, rate)


@pytest.mark.parametrize("solved", [cross_time, carreau_time])
def test_hths_over_low_shear_is_an_oil_that_does_not_thin(solved):
    # A plain oil's HTHS scatters about its low-shear viscosity.
    assert solved(3.0e-3, 1.5e-3, 3.05e-3) == 0.0
    assert solved(3.0e-3, 1.5e-3, np.array([3.0e-3, 2.5e-3])).tolist()[0] == 0.0


@pytest.mark.parametrize("solved", [cross_time, carreau_time])
@pytest.mark.parametrize(
    ("hths", "said"),
    [(1.2e-3, "wanted more than 1.5"), (35e-3, "belong to the same oil"), (-1.0, "more than")],
)
def test_hths_no_such_oil_can_have(solved, hths, said):
    with pytest.raises(ValueError, match=said):
        solved(3.0e-3, 1.5e-3, hths)
