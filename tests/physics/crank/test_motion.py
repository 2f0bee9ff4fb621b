import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.crank.motion import Cylinder, cycle_angles, slider_crank, volume

SQUARE = Cylinder(bore=0.086, stroke=0.086, rod=0.143, compression_ratio=10.0)


def test_dead_centres_are_exact():
    motion = slider_crank([0.0, math.pi], SQUARE)
    assert_allclose(motion.drop, [0.0, 0.086], atol=1e-17)
    # Geometry: at the dead centres the acceleration is a(1 + a/l) and -a(1 - a/l).
    a, ratio = 0.043, 0.043 / 0.143
    assert_allclose(motion.acceleration, [a * (1 + ratio), -a * (1 - ratio)], rtol=1e-14)


def test_position_against_the_formula_of_the_compression_check():
    # check values, section I: x = a(1 - cos) + l - sqrt(l² - a² sin²); written out here by hand.
    a, l, t = 0.043, 0.143, 1.1  # noqa: E741
    by_hand = a * (1 - math.cos(t)) + l - math.sqrt(l**2 - (a * math.sin(t)) ** 2)
    assert_allclose(slider_crank(t, SQUARE).drop, by_hand, rtol=1e-15)


@given(st.floats(-6.0, 6.0), st.floats(1.2, 8.0))
def test_rates_are_the_derivatives_of_the_position(angle, rod_over_throw):
    cylinder = Cylinder(0.08, 2.0, rod_over_throw, 10.0)
    step = 1e-4
    before, here, after = (slider_crank(angle + k * step, cylinder) for k in (-1, 0, 1))
    # Central differences err by step²/6 of the third derivative, which grows as the rod shortens.
    loose = {"rtol": 1e-5, "atol": 2e-5}
    assert_allclose(here.velocity, (after.drop - before.drop) / (2 * step), **loose)
    assert_allclose(here.acceleration, (after.velocity - before.velocity) / (2 * step), **loose)
    assert_allclose(here.swing_rate, (after.swing - before.swing) / (2 * step), **loose)


def test_harmonics_of_the_acceleration_against_the_series_in_a_over_l():
    # C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2, ch. 8 (from
    # memory): with q = a/l the acceleration is a w² [cos t + (q + q³/4 + 15 q⁵/128) cos 2t
    # - (q³/4 + 3 q⁵/16) cos 4t + (9 q⁵/128) cos 6t]; the terms left out are of order q⁷ = 2e-4.
    q = 0.3
    cylinder = Cylinder(0.08, 2.0, 1 / q, 10.0)
    angle = np.arange(360) * 2 * np.pi / 360
    harmonics = np.fft.rfft(slider_crank(angle, cylinder).acceleration).real / 180
    assert_allclose(harmonics[1], 1.0, rtol=1e-12)
    assert_allclose(harmonics[2], q + q**3 / 4 + 15 * q**5 / 128, atol=q**7)
    assert_allclose(harmonics[4], -(q**3 / 4 + 3 * q**5 / 16), atol=q**7)
    assert_allclose(harmonics[6], 9 * q**5 / 128, atol=q**7)
    assert_allclose(harmonics[[3, 5, 7]], 0.0, atol=1e-14)


def test_volume_at_the_dead_centres_has_the_compression_ratio():
    top, bottom = volume([0.0, math.pi], SQUARE)
    assert_allclose(bottom / top, 10.0, rtol=1e-14)


def test_cycle_has_top_dead_centre_on_a_step():
    angle = cycle_angles(720)
    assert angle[360] == 0.0
    assert_allclose(angle[0], -2 * math.pi)
    assert len(angle) == 720


@pytest.mark.parametrize("wrong", [(-0.08, 0.08, 0.14, 10), (0.08, 0.3, 0.14, 10)])
def test_impossible_sizes_are_refused(wrong):
    with pytest.raises(ValueError, match="rod longer than half the stroke"):
        Cylinder(*wrong)


def test_no_compression_is_refused():
    with pytest.raises(ValueError, match="compression ratio 1"):
        Cylinder(0.08, 0.08, 0.14, 1)


def test_a_cycle_without_dead_centres_is_refused():
    with pytest.raises(ValueError, match="multiple of 4"):
        cycle_angles(722)
