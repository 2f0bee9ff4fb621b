import numpy as np
import pytest
from numpy.testing import assert_allclose

from witnessmark.physics.crank.layout import inline, vee
from witnessmark.physics.crank.loads import Masses, main_loads, rod_load, throw_loads, turned
from witnessmark.physics.crank.motion import Cylinder, cycle_angles, slider_crank, volume

ANGLE = cycle_angles(720)
CYLINDER = Cylinder(bore=0.084, stroke=0.088, rod=0.149, compression_ratio=9.2)
Q = 0.044 / 0.149  # crank radius over rod
MASSES = Masses(reciprocating=0.55, rotating=0.42, throw_moment=0.02, counterweight=0.7)
ROD_ONLY = Masses(reciprocating=0.55, rotating=0.0)
SPEED = 50.0
SQUARE = (2 * np.pi * SPEED) ** 2
NO_GAS = np.zeros(720)
GAS = 5e6 * np.exp(-(((ANGLE - 0.2) / 0.6) ** 2)) + 2e4 * np.sin(ANGLE / 2)
EIGHT = vee([1, 8, 4, 3, 6, 5, 7, 2], [0, 0, 1, 1, 2, 2, 3, 3], [np.pi / 4, -np.pi / 4] * 4)


def order(force, number):
    """Amplitude of one harmonic per turn of a force over the two turns."""
    return np.abs(np.fft.rfft(force)[2 * number]) / (len(force) / 2)


def test_gas_alone_presses_along_the_rod():
    load = rod_load(ANGLE, CYLINDER, Masses(0, 0), GAS, SPEED, frame="rod")
    swing = slider_crank(ANGLE, CYLINDER).swing
    # Statics of a massless rod: gas force over the cosine of its lean, down the rod, none across.
    assert_allclose(load.force[:, 0], -GAS * CYLINDER.area / np.cos(swing), rtol=1e-12)
    assert_allclose(load.force[:, 1], 0.0, atol=1e-9)


def test_what_turns_with_the_pin_pulls_it_straight_out():
    load = rod_load(ANGLE, CYLINDER, Masses(0, 0.42), NO_GAS, SPEED, frame="crank")
    # Centripetal law: m a w².
    assert_allclose(load.force[:, 0], 0.42 * 0.044 * SQUARE, rtol=1e-12)
    assert_allclose(load.force[:, 1], 0.0, atol=1e-9)


def test_first_and_second_order_of_the_inertia_force():
    # C. F. Taylor, vol. 2 (from memory): m a w² and (q + q³/4 + 15 q⁵/128) m a w².
    load = rod_load(ANGLE, CYLINDER, ROD_ONLY, NO_GAS, SPEED, frame="space")
    unit = 0.55 * 0.044 * SQUARE
    assert_allclose(order(load.force[:, 0], 1), unit, rtol=1e-12)
    assert_allclose(order(load.force[:, 0], 2), unit * (Q + Q**3 / 4 + 15 * Q**5 / 128), rtol=Q**6)


def test_frames_show_one_force_and_turn_as_they_should():
    loads = {f: rod_load(ANGLE, CYLINDER, MASSES, GAS, SPEED, f) for f in ("space", "rod", "crank")}
    size = [np.hypot(*load.force.T) for load in loads.values()]
    assert_allclose(size[0], size[1], rtol=1e-12)
    assert_allclose(size[0], size[2], rtol=1e-12)
    # Over a cycle the rod only swings: half the crank's turn is left in space and in the rod;
    # seen from the crank pin the shell goes once backwards.
    for frame, mean in (("space", 0.5), ("rod", 0.5), ("crank", -0.5)):
        assert_allclose(loads[frame].turning.mean(), mean, atol=1e-12)
    # At firing top the rod swings backwards at q times the crank's speed.
    at_top = 360
    assert_allclose(loads["rod"].turning[at_top], (1 + Q) / 2, rtol=1e-12)
    assert_allclose(loads["space"].turning[at_top], (1 - Q) / 2, rtol=1e-12)


@pytest.mark.parametrize("layout", [inline([1, 3, 4, 2]), inline([1, 2, 4, 5, 3]), EIGHT])
def test_mains_carry_all_that_the_throws_bring(layout):
    throws = throw_loads(ANGLE, CYLINDER, MASSES, layout, GAS, SPEED)
    mains = main_loads(ANGLE, CYLINDER, MASSES, layout, GAS, SPEED)
    assert mains.force.shape == (layout.sharing.shape[0], 720, 2)
    assert_allclose(mains.force.sum(axis=0), throws.sum(axis=0), atol=1e-8)
    assert np.all(mains.turning == 0.5)


@pytest.mark.parametrize("layout", [inline([1, 3, 4, 2]), inline([1, 2, 4, 5, 3]), EIGHT])
def test_torque_over_a_cycle_is_the_work_of_the_gas(layout):
    # Energy: all forces on all pins times the way they go is the gas work of every cylinder.
    throws = throw_loads(ANGLE, CYLINDER, Masses(0.55, 0.42), layout, GAS, SPEED)
    step = ANGLE[1] - ANGLE[0]
    work = 0.0
    for fires, bank, throw in zip(layout.fires, layout.bank, layout.throw, strict=True):
        alone = layout.throw.count(throw)
        across = turned(throws[throw], -(ANGLE - fires + bank))[:, 1]
        work += across.sum() / alone * CYLINDER.throw * step
    around = np.append(GAS, GAS[0])
    middle = 0.5 * (around[1:] + around[:-1])
    by_gas = np.sum(middle * np.diff(volume(np.append(ANGLE, 2 * np.pi), CYLINDER)))
    # Both sums run in one-degree steps, the gas by trapezia: a few parts in 10⁵.
    assert_allclose(work, len(layout.fires) * by_gas, rtol=1e-4)


def test_a_four_shakes_at_second_order_only():
    # Balance of the flat four (textbook, e.g. Taylor vol. 2): first order cancels, second adds up.
    mains = main_loads(ANGLE, CYLINDER, Masses(0.55, 0.42), inline([1, 3, 4, 2]), NO_GAS, SPEED)
    shake = mains.force.sum(axis=0)[:, 0]
    unit = 0.55 * 0.044 * SQUARE
    assert order(shake, 1) < 1e-9 * unit
    assert_allclose(order(shake, 2), 4 * unit * (Q + Q**3 / 4 + 15 * Q**5 / 128), rtol=Q**6)


@pytest.mark.parametrize("layout", [inline([1, 5, 3, 6, 2, 4]), inline([1, 2, 4, 5, 3]), EIGHT])
def test_engines_that_do_not_shake(layout):
    # Balance of six and five in line and of the crossed eight: no free first or second order.
    mains = main_loads(ANGLE, CYLINDER, Masses(0.55, 0.42), layout, NO_GAS, SPEED)
    shake = mains.force.sum(axis=0)
    for axis in (0, 1):
        assert order(shake[:, axis], 1) < 1e-9 * 0.55 * 0.044 * SQUARE
        assert order(shake[:, axis], 2) < 1e-9 * 0.55 * 0.044 * SQUARE


def test_full_counterweights_take_off_all_that_turns():
    whole = Masses(reciprocating=0.0, rotating=0.42, throw_moment=0.02, counterweight=1.0)
    throws = throw_loads(ANGLE, CYLINDER, whole, inline([1, 2, 4, 5, 3]), NO_GAS, SPEED)
    assert_allclose(throws, 0.0, atol=1e-9)
    bare = Masses(reciprocating=0.0, rotating=0.42, throw_moment=0.02, counterweight=0.25)
    throws = throw_loads(ANGLE, CYLINDER, bare, EIGHT, NO_GAS, SPEED)
    # Two big ends and one bare throw, a quarter of it taken off.
    assert_allclose(np.hypot(*throws[0].T), 0.75 * (0.02 + 2 * 0.42 * 0.044) * SQUARE, rtol=1e-12)


def test_a_firing_angle_between_two_steps_is_met_halfway():
    fine = cycle_angles(3600)
    gas = 5e6 * np.exp(-(((fine - 0.2) / 0.6) ** 2))
    seven = vee(range(1, 8), range(7), [0.0] * 7)  # 720/7 degrees fall between the steps
    rough = throw_loads(ANGLE, CYLINDER, MASSES, seven, gas[::5], SPEED)
    close = throw_loads(fine, CYLINDER, MASSES, seven, gas, SPEED)[:, ::5]
    # Straight lines between degrees: an eighth of step² times the curvature of a 0.4 rad hump.
    assert_allclose(rough, close, atol=4e-4 * np.abs(close).max())


def test_states_together_are_the_states_one_by_one():
    speed = np.array([20.0, 50.0, 110.0])
    gas = GAS * np.array([[0.2], [0.6], [1.0]])
    together = main_loads(ANGLE, CYLINDER, MASSES, EIGHT, gas, speed)
    assert together.force.shape == (3, 5, 720, 2)
    alone = main_loads(ANGLE, CYLINDER, MASSES, EIGHT, gas[2], speed[2])
    assert_allclose(together.force[2], alone.force, rtol=1e-12, atol=1e-9)


def test_a_pressure_that_does_not_fit_the_angles_is_refused():
    with pytest.raises(ValueError, match="last axis"):
        rod_load(ANGLE, CYLINDER, MASSES, np.zeros(360), SPEED)


def test_a_negative_mass_is_refused():
    with pytest.raises(ValueError, match="below 0"):
        Masses(reciprocating=-0.5, rotating=0.4)
