import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.oil.oil import AT_40, AT_100, Oil, oil_from_data

WARM = st.floats(273.15, 473.15)
# Ordinary data sheet of a 5W-30; invented, no brand.
SHEET = {"kv40": 61.7e-6, "kv100": 10.9e-6, "density_15": 855.0}


@pytest.fixture(scope="module")
def oil():
    return oil_from_data(**SHEET, hths=3.0e-3)


def test_data_sheet_comes_back(oil):
    # 1e-4: D341's own way back.
    assert_allclose(oil.kinematic(np.array([AT_40, AT_100])), [61.7e-6, 10.9e-6], rtol=1e-4)
    assert_allclose(oil.density(288.15), 855.0, rtol=1e-15)


def test_hths_is_kept(oil):
    # HTHS by definition (ASTM D4683): 150 °C, 1e6 1/s.
    assert_allclose(oil.dynamic(423.15, 1e6), 3.0e-3, rtol=1e-12)


def test_at_rest_it_is_viscosity_times_density(oil):
    t = np.linspace(280, 470, 7)
    assert_allclose(oil.dynamic(t), oil.kinematic(t) * oil.density(t), rtol=1e-15)


def test_without_hths_nothing_thins():
    plain = oil_from_data(**SHEET)
    assert plain.dynamic(373.15, 1e7) == plain.dynamic(373.15)


@given(WARM, st.floats(0.1, 50.0), st.floats(0, 1e8))
def test_hotter_is_thinner(temperature, more, rate):
    oil = oil_from_data(**SHEET, hths=3.0e-3)
    if temperature + more <= 473.15:
        assert oil.dynamic(temperature + more, rate) < oil.dynamic(temperature, rate)


@given(WARM, st.floats(0, 1e8), st.floats(0, 1e8))
def test_shear_thins_but_never_under_the_floor(temperature, rate, more):
    oil = oil_from_data(**SHEET, hths=3.0e-3, shear_floor=0.6)
    rest = oil.dynamic(temperature)
    assert oil.dynamic(temperature, rate + more) <= oil.dynamic(temperature, rate) <= rest
    assert oil.dynamic(temperature, rate) >= 0.6 * rest * (1 - 1e-12)


@given(WARM, WARM)
def test_reduced_variables(one, other):
    # Ferry's reduced variables: at the same stress over absolute temperature, the same share of
    # the polymer's viscosity is left, whatever the temperature.
    oil = oil_from_data(**SHEET, hths=3.0e-3)

    def left(t):
        rest = oil.dynamic(t)
        return oil.dynamic(t, 5e3 * (t / 423.15) / rest) / rest

    assert_allclose(left(one), left(other), rtol=1e-12)


def test_below_zero_is_nothing_and_above_two_hundred_the_line(oil):
    found = oil.dynamic(np.array([250.0, 273.14, 273.15, 480.0]), 1e5)
    assert np.isnan(found).tolist() == [True, True, False, False]


def test_samples_and_states_broadcast():
    many = oil_from_data(
        kv40=np.linspace(55e-6, 65e-6, 4)[:, None],
        kv100=10.5e-6,
        density_15=855.0,
        hths=np.array([2.9e-3, 3.0e-3, 3.1e-3, 3.2e-3])[:, None],
    )
    t, rate = np.linspace(300, 420, 5), np.array([0.0, 1e4, 1e5, 1e6, 1e7])
    found = many.dynamic(t, rate)
    assert found.shape == (4, 5)
    for i in range(4):
        one = oil_from_data(float(many_kv40(i)), 10.5e-6, 855.0, 2.9e-3 + i * 1e-4)
        for j in range(5):
            # 1e-9: sums in another order.
            assert_allclose(found[i, j], one.dynamic(t[j], rate[j]), rtol=1e-9)


def many_kv40(i):
    return np.linspace(55e-6, 65e-6, 4)[i]


def test_a_plain_sample_among_thinning_ones():
    # HTHS over low shear in one sample of a band: that sample does not thin, the other does.
    oil = oil_from_data(**SHEET, hths=np.array([3.0e-3, 3.8e-3]))
    thinned = oil.dynamic(423.15, 1e6) / oil.dynamic(423.15)
    assert thinned[0] < 0.9
    assert thinned[1] == 1.0


@pytest.mark.parametrize("density_15", [0.0, -855.0, float("nan")])
def test_density_must_be_one(density_15):
    with pytest.raises(ValueError, match="density at 15 °C: found"):
        oil_from_data(60e-6, 10e-6, density_15)


def test_bare_line_is_an_oil_that_does_not_thin():
    assert Oil(7.7, 2.98, 855.0).dynamic(373.15, 1e7) == Oil(7.7, 2.98, 855.0).dynamic(373.15)
