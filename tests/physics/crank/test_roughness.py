"""Greenwood-Tripp integrals against quadrature and a published table; the peaks' load derived."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import dblquad, quad
from scipy.special import erfc

from witnessmark.physics.crank.roughness import (
    TEXTBOOK_BOUNDARY_BELOW,
    TEXTBOOK_FULL_FILM_FROM,
    asperity_pressure,
    composite_roughness,
    contact_modulus,
    contact_share,
    film_ratio,
    gaussian_overlap,
)


def overlap_by_quadrature(ratio, power):
    """The integral as it is defined, with u = s - ratio and exp(-ratio²/2) taken out of it."""
    rest, _ = quad(
        lambda u: u**power * np.exp(-u * ratio - u**2 / 2), 0, 30, epsabs=0, epsrel=1e-11, limit=200
    )
    return rest * np.exp(-(ratio**2) / 2) / np.sqrt(2 * np.pi)


# F_5/2, Greenwood and Tripp (1970), table of their paper, from memory: five decimals, the last
# one loose, and confirmed here only by the quadrature.
GREENWOOD_TRIPP = [
    (0.0, 0.61664),
    (0.5, 0.24040),
    (1.0, 0.08056),
    (1.5, 0.02286),
    (2.0, 0.00542),
    (2.5, 0.00106),
    (3.0, 0.00017),
]


@pytest.mark.parametrize(("ratio", "published"), GREENWOOD_TRIPP)
def test_load_integral_against_the_published_table(ratio, published):
    assert_allclose(gaussian_overlap(ratio, 2.5), published, atol=1.1e-5)


@pytest.mark.parametrize("power", [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0])
@pytest.mark.parametrize("ratio", [-2.0, -0.5, 0.0, 0.5, 1.0, 2.0, 3.0, 3.5, 5.0, 6.0, 8.0, 12.0])
def test_closed_form_against_quadrature(ratio, power):
    # scipy's parabolic cylinder function changes its method near 6 and loses to 1e-9 there.
    assert_allclose(gaussian_overlap(ratio, power), overlap_by_quadrature(ratio, power), rtol=1e-8)


@given(st.floats(-10, 37))
def test_whole_powers_are_the_error_function(ratio):
    # F_0 is the share of heights above the film; F_1 = phi - x F_0; F_2 = (1 + x²) F_0 - x phi.
    above, at = erfc(ratio / np.sqrt(2)) / 2, np.exp(-(ratio**2) / 2) / np.sqrt(2 * np.pi)
    assert_allclose(gaussian_overlap(ratio, 0), above, rtol=1e-8)
    # Differences of near equals where the film is thick: held to the size of their terms.
    assert_allclose(gaussian_overlap(ratio, 1), at - ratio * above, rtol=1e-8, atol=1e-11 * at)
    second = (1 + ratio**2) * above - ratio * at
    assert_allclose(gaussian_overlap(ratio, 2), second, rtol=1e-8, atol=1e-11 * (1 + ratio**2) * at)


def test_the_power_law_often_fitted_is_not_good_enough():
    # 4.4086e-5 (4 - x)^6.804, widely printed for F_5/2 (from memory; check-values.md G.1).
    ratio = np.array([0.0, 1.0, 2.0, 2.5, 3.0, 3.5])
    fitted = 4.4086e-5 * (4 - ratio) ** 6.804
    truth = np.array([overlap_by_quadrature(x, 2.5) for x in ratio])
    error = fitted / truth - 1
    # check-values.md G.1, computed there on its own, last digit as printed.
    assert_allclose(error, [-0.107, -0.035, -0.092, -0.35, -0.74, -0.98], atol=0.006)
    assert_allclose(gaussian_overlap(ratio, 2.5), truth, rtol=1e-8)


def test_peak_load_and_area_from_hertz_by_double_integration():
    # Two peaks of radius beta on opposite faces, a tangential distance r apart, overlap by
    # w = s - h - r²/(4 beta) and press as Hertz spheres of radius beta/2: (4/3) E' (beta/2)^½
    # w^(3/2) over an area pi (beta/2) w. eta² 2 pi r dr pairs an area, s Gaussian.
    sigma, eta, beta, modulus, ratio = 0.4e-6, 2.0e9, 15e-6, 1.1e11, 1.2

    def summed(of_overlap):
        def ring(q, s):  # q = r² / (4 beta sigma), s in units of sigma; 2 pi r dr = 4 pi beta dq
            return of_overlap((s - ratio - q) * sigma) * np.exp(-(s**2) / 2) / np.sqrt(2 * np.pi)

        total = dblquad(ring, ratio, 9.0, 0.0, lambda s: s - ratio, epsabs=0, epsrel=1e-7)[0]
        return eta**2 * 4 * np.pi * beta * sigma * total

    load = summed(lambda w: 4 / 3 * modulus * np.sqrt(beta / 2) * w**1.5)
    assert_allclose(asperity_pressure(ratio, sigma, eta, beta, modulus), load, rtol=1e-5)
    area = summed(lambda w: np.pi * beta / 2 * w)
    assert_allclose(contact_share(ratio, sigma, eta, beta), area, rtol=1e-5)


def test_composite_roughness_adds_squares():
    assert_allclose(composite_roughness(0.3e-6, 0.4e-6), 0.5e-6, rtol=1e-12)  # 3-4-5
    assert_allclose(film_ratio(1.5e-6, 0.5e-6), TEXTBOOK_FULL_FILM_FROM, rtol=1e-12)
    assert TEXTBOOK_BOUNDARY_BELOW == 1.0  # textbook, from memory


def test_modulus_of_steel_on_steel():
    # 210 GPa and 0.3 on both: E' = 210 / (2 · 0.91) = 115.4 GPa, by hand.
    assert_allclose(contact_modulus(210e9, 0.3, 210e9, 0.3), 115.385e9, rtol=1e-5)


def test_peaks_carry_less_as_the_film_grows_and_arrays_broadcast():
    ratio = np.linspace(-1, 8, 50)
    pressure = asperity_pressure(ratio, np.array([[0.3e-6], [0.5e-6]]), 2e9, 15e-6, 1.1e11)
    assert pressure.shape == (2, 50)
    assert np.all(np.diff(pressure) < 0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: film_ratio(1e-6, 0.0), "composite roughness: found 0, wanted"),
        (lambda: film_ratio(-1e-6, 1e-6), "film thickness: found -1e-06, wanted"),
        (lambda: composite_roughness(-1e-7, 1e-7), "journal roughness: found -1e-07, wanted"),
        (lambda: gaussian_overlap(np.nan, 2.5), "film ratio: found nan, wanted"),
        (lambda: gaussian_overlap(1.0, -1.0), "power of the overlap: found -1, wanted"),
        (lambda: asperity_pressure(1.0, 1e-7, 0.0, 1e-5, 1e11), "peak density: found 0, wanted"),
        (lambda: contact_modulus(2e11, 0.6, 2e11, 0.3), "first Poisson's ratio: found 0.6"),
    ],
)
def test_numbers_no_surface_has_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
