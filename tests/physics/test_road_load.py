import numpy as np
import pytest

from witnessmark.physics.road_load import Vehicle, choose_gears, engine_demand, tractive_force

CAR = Vehicle(1500.0, 0.70, 0.012, 2.0, (3.0, 2.0, 1.0), 4.0, 0.92)


def test_standing_still_asks_for_nothing():
    assert tractive_force(np.zeros(1), np.zeros(1), CAR) == pytest.approx([0.0])


def test_steady_speed_by_hand():
    # 0.012·1500·9.80665 = 176.52 N; 0.5·1.225·0.70·20² = 171.50 N. Arithmetic by hand.
    assert tractive_force(np.array([20.0]), np.zeros(1), CAR) == pytest.approx([348.02], abs=0.01)


def test_inertia_is_mass_times_acceleration():
    steady = tractive_force(np.array([20.0]), np.zeros(1), CAR)
    pushed = tractive_force(np.array([20.0]), np.array([2.0]), CAR)
    assert pushed - steady == pytest.approx([3000.0])  # Newton: 1500 kg · 2 m/s²


def test_power_at_the_crank_pays_for_the_driveline():
    road, gear = np.array([20.0]), np.array([2])
    speed, torque = engine_demand(road, np.array([0.5]), gear, CAR, idle=15.0)
    at_crank = 2 * np.pi * speed * torque
    at_wheel = tractive_force(road, np.array([0.5]), CAR) * road
    assert at_wheel / at_crank == pytest.approx([CAR.driveline_efficiency])


def test_engine_speed_is_wheel_turns_times_ratio_and_never_under_idle():
    road = np.array([20.0, 0.0])
    speed, _ = engine_demand(road, np.zeros(2), np.array([2, 0]), CAR, idle=15.0)
    assert speed == pytest.approx([20.0 / 2.0 * 4.0, 15.0])


def test_gears_go_up_and_down_one_at_a_time():
    road = np.r_[np.linspace(0, 30, 40), np.linspace(30, 0, 40)]
    gears = choose_gears(road, CAR, up_at=45.0, down_at=20.0)
    assert set(np.abs(np.diff(gears))) <= {0, 1}
    assert gears.max() == 2
    assert gears[-1] == 0
