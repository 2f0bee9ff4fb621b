import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from witnessmark.physics.crank.burn import GAS_CONSTANT, Burn
from witnessmark.physics.crank.cylinder import Valves, Walls, cylinder_pressure, woschni
from witnessmark.physics.crank.motion import Cylinder, cycle_angles, volume

DEGREE = math.pi / 180
AT_DEAD_CENTRE = Valves(-math.pi, math.pi, 1.95 * math.pi, -1.95 * math.pi, 0.5)
REAL = Valves(-130 * DEGREE, 130 * DEGREE, 345 * DEGREE, -345 * DEGREE, 60 * DEGREE)
BURN = [Burn(-20 * DEGREE, 60 * DEGREE, 2.0, 5.0)]
INSTANT = [Burn(0.0, 1e-6, 2.0, 5.0)]


def cylinder(ratio=10.0):
    return Cylinder(bore=0.084, stroke=0.088, rod=0.149, compression_ratio=ratio)


def run(valves=REAL, count=720, ratio=10.0, heat=1500.0, burns=BURN, gamma=(1.35, 0, 0), **more):
    given = {"intake": 1e5, "exhaust": 1e5, "fresh": 5.5e-4, "speed": 50.0} | more
    return cylinder_pressure(
        cycle_angles(count), cylinder(ratio), valves, given["intake"], given["exhaust"],
        given["fresh"], heat, burns, given["speed"], gamma, given.get("walls"),
    )  # fmt: skip


def test_without_burn_pressure_times_volume_to_the_gamma_is_constant():
    # Isentrope of a gas of constant heat ratio: exact.
    gas = run(heat=0.0)
    shut = (gas.angle >= REAL.intake_closes) & (gas.angle <= REAL.exhaust_opens)
    kept = gas.pressure[shut] * volume(gas.angle[shut], cylinder()) ** 1.35
    assert_allclose(kept, 1e5 * volume(REAL.intake_closes, cylinder()) ** 1.35, rtol=1e-12)


# check values, section J: Otto efficiency 1 - r^(1 - gamma), four figures.
OTTO = [(8, 1.4, 0.5647), (9, 1.4, 0.5848), (10, 1.4, 0.6019), (12, 1.4, 0.6299),
        (8, 1.3, 0.4641), (10, 1.3, 0.4988), (12, 1.3, 0.5255)]  # fmt: skip


@pytest.mark.parametrize(("ratio", "gamma", "published"), OTTO)
def test_a_burn_in_no_time_gives_the_otto_cycle(ratio, gamma, published):
    gas = run(AT_DEAD_CENTRE, 7200, ratio, burns=INSTANT, gamma=(gamma, 0, 0))
    # Half the last figure, and a burn that takes one step of a tenth of a degree.
    assert_allclose(gas.work / gas.heat, published, atol=5e-5 + 5e-5)
    assert_allclose(gas.work / gas.heat, 1 - ratio ** (1 - gamma), rtol=5e-5)


@pytest.mark.parametrize("walls", [None, Walls(450.0)])
def test_first_law_closes_and_closes_four_times_better_on_half_the_step(walls):
    real = (1.338, -6e-5, 1e-8)
    coarse, fine = (abs(run(count=n, gamma=real, walls=walls).residual) for n in (720, 1440))
    assert coarse < 1e-4
    assert_allclose(coarse / fine, 4.0, rtol=0.2)  # second order, rounded by the burn's corners


def test_woschni_against_the_worked_values():
    # check values, section J (Heywood 12.19, constants from memory): 502.7 and 1484 W/m² K. The
    # first gas velocity is 2.28 times a piston speed of 12 m/s, printed there rounded to 27.4.
    assert_allclose(woschni(0.086, 2000e3, 2000.0, 2.28 * 12.0), 502.7, atol=0.05)
    assert_allclose(woschni(0.086, 6000e3, 2400.0, 40.0), 1484.0, atol=0.5)


def test_walls_take_heat_and_pressure():
    bare, walled = run(), run(walls=Walls(450.0))
    assert walled.pressure.max() < bare.pressure.max()
    assert bare.wall_heat == 0
    twice = run(walls=Walls(450.0, scale=2.0))
    # Twice the coefficient cools the gas, so a little less than twice the heat.
    assert 1.5 < twice.wall_heat / walled.wall_heat < 2.0


def test_slower_turning_loses_more_heat():
    assert run(walls=Walls(450.0), speed=10.0).wall_heat > run(walls=Walls(450.0)).wall_heat


def test_residual_gas_of_a_motored_engine_fills_the_clearance():
    # Ideal gas: motored between equal pressures the residual is the clearance over the trapped
    # volume, 1/r with valves that move at dead centre.
    gas = run(AT_DEAD_CENTRE, heat=0.0)
    assert_allclose(5.5e-4 / gas.mass, 1 - 1 / 10.0, rtol=1e-12)


def test_temperature_is_that_of_the_trapped_mass():
    gas = run()
    hot = np.nanargmax(gas.temperature)
    mass = gas.pressure[hot] * volume(gas.angle[hot], cylinder())
    assert_allclose(gas.temperature[hot], mass / (gas.mass * GAS_CONSTANT), rtol=1e-12)


def test_manifolds_set_the_pressure_while_the_valves_are_open():
    gas = run(intake=4e4, exhaust=1.1e5)
    degrees = np.rad2deg(gas.angle)
    assert_allclose(gas.pressure[(degrees > -344) & (degrees < -131)], 4e4, rtol=1e-12)
    assert_allclose(gas.pressure[(degrees > 191) & (degrees < 344)], 1.1e5, rtol=1e-12)
    # The cycle closes: no jump from its end to its beginning beyond one step of the overlap.
    assert abs(gas.pressure[-1] - gas.pressure[0]) < 0.06 * (1.1e5 - 4e4)


def test_two_stages_of_a_diesel_burn_all_heat():
    stages = [Burn(-5 * DEGREE, 8 * DEGREE, 1.5, 6.9, 0.2), Burn(0.0, 60 * DEGREE, 0.8, 6.9, 0.8)]
    gas = run(ratio=17.0, burns=stages)
    stored = gas.heat - gas.work
    end = np.flatnonzero(~np.isnan(gas.temperature))[[0, -1]]
    rise = gas.temperature[end[1]] - gas.temperature[end[0]]
    assert_allclose(stored, gas.mass * GAS_CONSTANT / 0.35 * rise, rtol=1e-4)


def test_states_together_are_the_states_one_by_one():
    intake = np.array([[3e4], [9e4], [1.7e5]])
    speed = np.array([15.0, 100.0])
    together = run(intake=intake, speed=speed, walls=Walls(450.0), heat=intake / 100)
    assert together.pressure.shape == (3, 2, 720)
    alone = run(intake=9e4, speed=100.0, walls=Walls(450.0), heat=900.0)
    # All states pass until the slowest has settled, to 1e-7.
    assert_allclose(together.pressure[1, 1], alone.pressure, rtol=1e-6)
    assert_allclose(together.work[1, 1], alone.work, rtol=1e-5)


def test_impossible_states_are_refused():
    with pytest.raises(ValueError, match="absolute"):
        run(intake=-1e4)
    with pytest.raises(ValueError, match="Valves"):
        Valves(0.1, 2.0, 6.0, -6.0, 1.0)
    with pytest.raises(ValueError, match="more gas left over"):
        run(heat=0.0, exhaust=3e6)
    with pytest.raises(ValueError, match="out of all proportion"):
        run(walls=Walls(450.0, scale=1e3), speed=0.1)


def test_a_cranked_engine_gives_its_heat_to_the_walls():
    # 2 rev/s, slower than any starter: much heat goes, none is made, and the law still closes.
    gas = run(walls=Walls(400.0), speed=2.0)
    assert 0.4 < gas.wall_heat / gas.heat < 1
    assert abs(gas.residual) < 1e-4
