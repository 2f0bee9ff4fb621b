import numpy as np
import pytest
from numpy.testing import assert_allclose

from witnessmark.physics.crank.layout import Layout, half_and_half, inline, pins, vee

ODD_EVEN = [np.pi / 4, -np.pi / 4] * 4  # odd cylinders on one bank, even ones on the other
PAIRED = [0, 0, 1, 1, 2, 2, 3, 3]


def test_an_inline_four_has_a_flat_crank():
    # Geometry: fired evenly 1-3-4-2, outer pins stand together, inner ones opposite.
    assert_allclose(np.rad2deg(pins(inline([1, 3, 4, 2]))), [0, 180, 180, 0], atol=1e-6)


def test_a_five_has_pins_a_fifth_of_a_turn_apart():
    apart = np.sort(np.rad2deg(pins(inline([1, 2, 4, 5, 3]))))
    assert_allclose(apart, [0, 72, 144, 216, 288], atol=1e-6)


def test_an_eight_in_a_right_angled_v_has_a_crossed_crank_with_shared_pins():
    # Geometry: even firing in this order (common practice) puts both rods of a throw on one pin.
    layout = vee([1, 8, 4, 3, 6, 5, 7, 2], PAIRED, ODD_EVEN)
    angle = np.rad2deg(pins(layout)).reshape(4, 2)
    assert_allclose(angle[:, 0], angle[:, 1], atol=1e-6)
    assert_allclose(np.sort(angle[:, 0]), [45, 135, 225, 315], atol=1e-6)


def test_every_throw_rests_on_its_neighbours():
    assert_allclose(half_and_half(2), [[0.5, 0.0], [0.5, 0.5], [0.0, 0.5]])


def test_uneven_firing_can_be_given():
    layout = vee([1, 2], [0, 0], [np.pi / 8, -np.pi / 8], firing_angles=[0.0, np.deg2rad(315)])
    assert_allclose(np.diff(pins(layout)), 0.0, atol=1e-6)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: inline([1, 3, 3, 2]), "firing order"),
        (lambda: Layout((0.0,), (0.0, 0.0), (0,), half_and_half(1)), "one of each"),
        (lambda: Layout((0.0,), (0.0,), (1,), half_and_half(1)), "Number throws"),
        (lambda: Layout((0.0,), (0.0,), (0,), np.ones((2, 1))), "must add up to 1"),
    ],
)
def test_a_crank_that_does_not_add_up_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
