import chemicals.viscosity
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.oil.index import kv40_of_index, reference_oils, viscosity_index

# ASTM D2270, worked examples 5.1.4, 6.1.4 (1) and 6.1.4 (2): mm²/s at 40 and 100 °C, and the
# index after the rounding the standard asks for. The first two read; of the third, KV40 read.
EXAMPLES = [(73.30, 8.86, 92), (22.83, 5.05, 156), (53.47, 7.80, 111)]


@pytest.mark.parametrize(("kv40", "kv100", "published"), EXAMPLES)
def test_examples_of_the_standard(kv40, kv100, published):
    assert round(float(viscosity_index(kv40 * 1e-6, kv100 * 1e-6))) == published


# The same examples, as printed before rounding: L and H at 8.86, H at 5.05 and at 7.80 mm²/s.
# 0.04 %: what the standard's quadratics leave against its own table, here.
@pytest.mark.parametrize(
    ("kv100", "low", "high"), [(8.86, 119.94, 69.48), (5.05, None, 28.97), (7.80, None, 57.31)]
)
def test_reference_oils_of_the_examples(kv100, low, high):
    ours = [v * 1e6 for v in reference_oils(kv100 * 1e-6)]
    assert_allclose(ours[1], high, rtol=4e-4)
    if low:
        assert_allclose(ours[0], low, rtol=4e-4)


def test_reference_oils_against_the_table_in_chemicals():
    # `chemicals` carries the standard's table of 311 rows, 2 to 70 mm²/s. The quadratics miss it
    # by 0.11 % at most (found: L 0.096 %, H 0.113 %), the table's own steps being up to 0.05 %.
    kv100 = np.array(chemicals.viscosity.VI_nus)
    low, high = reference_oils(kv100 * 1e-6)
    assert_allclose(low * 1e6, chemicals.viscosity.VI_Ls, rtol=1.2e-3)
    assert_allclose(high * 1e6, chemicals.viscosity.VI_Hs, rtol=1.2e-3)


@given(st.floats(2.0, 100.0), st.floats(0.0, 250.0))
def test_index_against_chemicals(kv100, index):
    kv40 = float(kv40_of_index(kv100 * 1e-6, index))
    theirs = chemicals.viscosity.viscosity_index(kv40, kv100 * 1e-6)
    # The 0.11 % of L and H (test above) over log Y: found 0.34 at most, near 2 mm²/s.
    assert_allclose(float(viscosity_index(kv40, kv100 * 1e-6)), theirs, atol=0.4)


@given(st.floats(2.0, 100.0), st.floats(-20.0, 300.0))
def test_index_there_and_back(kv100, index):
    kv40 = kv40_of_index(kv100 * 1e-6, index)
    assert_allclose(float(viscosity_index(kv40, kv100 * 1e-6)), index, atol=1e-8)


@given(st.floats(2.0, 100.0), st.floats(0.0, 250.0), st.floats(0.01, 50.0))
def test_a_higher_index_is_thinner_in_the_cold(kv100, index, more):
    assert kv40_of_index(kv100 * 1e-6, index + more) < kv40_of_index(kv100 * 1e-6, index)


def test_the_reference_oils_have_their_names():
    # By definition: L is the oil of index 0, H the oil of index 100, exactly.
    low, high = reference_oils(10e-6)
    assert_allclose([viscosity_index(low, 10e-6), viscosity_index(high, 10e-6)], [0, 100])


def test_under_two_there_is_no_index():
    with pytest.raises(ValueError, match=r"found 1\.9 mm²/s at 100 °C; wanted 2"):
        viscosity_index(np.array([10e-6, 5e-6]), np.array([3e-6, 1.9e-6]))
