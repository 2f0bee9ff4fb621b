"""Films of a build: which way they go, and that they are the physics' own."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.lubrication.builds import BOOK, heron
from tests.lubrication.films import ATM, RPM, C, basis, films, points
from witnessmark.errors import UserError
from witnessmark.lubrication.film import Vary, films_at, loads_at
from witnessmark.lubrication.fuel_in_oil import thinned
from witnessmark.physics.bearing.thermal import Journal, settle, through_flow
from witnessmark.physics.crank.loads import rod_load
from witnessmark.physics.crank.motion import cycle_angles
from witnessmark.physics.crank.orbit import Bearing, orbit


def least(found):
    """Thinnest of all bearings (n, t)."""
    return found.film.min(axis=0)


def test_hotter_oil_is_thinner_in_every_bearing():
    found = films([2000, 5000], celsius=(40, 90, 120, 140)).film
    assert np.all(np.diff(found, axis=-1) < 0)


def test_lugging_thins_the_film_and_so_does_speed_beyond_the_ridge():
    low, middle, high = least(films([1000, 2500, 7000]))[:, 0]
    assert low < middle > high


def test_load_thins_a_lugging_film():
    assert np.all(np.diff(least(films(1500, [30e3, 60e3, ATM]))[:, 0]) < 0)


def test_at_the_redline_a_shut_throttle_helps_little():
    # The weight of the piston decides there: docs/explanation/bearing.md, "Over the cycle".
    shut, full = least(films(7000, [30e3, ATM]))[:, 0]
    slow_shut, slow_full = least(films(1500, [30e3, ATM]))[:, 0]
    assert shut / full < 1.3 < slow_shut / slow_full


def test_more_clearance_is_a_thinner_film_and_less_warm():
    tight, wide = (films(3000, vary=Vary(clearance=step)) for step in (0.0, 8e-6))
    assert np.all(wide.film < tight.film)
    assert np.all(wide.temperature < tight.temperature)


def test_thinner_and_warmer_oil_in_the_film_is_a_thinner_film():
    plain = films(3000).film
    assert np.all(films(3000, vary=Vary(viscosity=0.8)).film < plain)
    assert np.all(films(3000, vary=Vary(rise=1.5)).film < plain)


@pytest.mark.parametrize("share", [0.02, 0.05, 0.1])
def test_fuel_in_the_oil_thins_the_film(share):
    oil = thinned(heron(), BOOK, basis().oil, share)
    assert np.all(films([1500, 5000], oil=oil).film < films([1500, 5000]).film)


def test_no_fuel_changes_nothing():
    assert thinned(heron(), BOOK, basis().oil, 0.0) is basis().oil


def test_between_the_tightest_and_the_widest_rod_films_lie_between():
    # Why only these two are worked out.
    train, at = basis().train, np.array([40.0, 120.0]) + C
    tight, wide = train.rods
    pins = loads_at(train, points([1000, 1500, 3000, 7000], [ATM, 30e3, 1.4 * ATM, ATM]))
    three = [
        replace(tight, clearance=tight.clearance + part * (wide.clearance - tight.clearance))
        for part in (0, 0.5, 1)
    ]
    found = films_at(replace(train, rods=tuple(three), mains=(), layout=None),
                     replace(pins, mains=None), basis().oil, at).film  # fmt: skip
    assert np.all(found[1] >= np.minimum(found[0], found[2]))


def test_it_is_the_film_of_the_orbit_at_the_temperature_of_the_heat_balance():
    # The same sums again, one rod, one state, at every single degree.
    train, oil, speed, hot = basis().train, basis().oil, 4000 * RPM, 120.0 + C
    rod, angle = train.rods[0], cycle_angles()
    gas = train.gas.pressure(angle, train.cylinder, points(4000, ATM))[0]
    load = rod_load(angle, train.cylinder, train.masses, gas, speed)
    mean = np.linalg.norm(load.force, axis=-1).mean()
    warm = settle(Journal(rod.diameter, rod.length, rod.clearance), mean, speed, hot, oil,
                  stream=through_flow)  # fmt: skip
    alone = orbit(load, Bearing(rod.diameter, rod.length, rod.clearance), speed, warm.viscosity)
    found = films(4000)
    # Two degrees against one: half a per cent is what film.py says of its angles.
    assert_allclose(found.film[0, 0, 0], alone.least_film, rtol=5e-3)
    assert_allclose(found.temperature[0, 0, 0], warm.temperature, rtol=1e-3)


def test_two_lands_are_two_bearings_of_half_the_load():
    train, pins = basis().train, loads_at(basis().train, points(3000, ATM))
    at = np.array([120.0]) + C
    whole = train.mains[2]
    two = replace(whole, length=whole.length * 0.425, lands=2)
    one = replace(two, lands=1)
    halved = replace(pins, mains=replace(pins.mains, force=pins.mains.force / 2))
    grooved = films_at(replace(train, mains=(two,)), pins, basis().oil, at).film[-1]
    plain = films_at(replace(train, mains=(one,)), halved, basis().oil, at).film[-1]
    assert_allclose(grooved, plain)
    assert np.all(grooved < films(3000).film[4])  # and carry less than the whole


def test_below_freezing_nothing_is_shown():
    found = films(2000, celsius=(-10, 40)).film[:, 0]
    assert np.all(np.isnan(found[:, 0]))
    assert np.all(found[:, 1] > 0)


def test_bearings_come_in_the_order_of_the_shells():
    assert len(films(2000).film) == len(basis().train.shells) == 8


def test_a_gas_that_takes_no_pressure_is_one_clear_error():
    with pytest.raises(UserError, match="absolute"):
        loads_at(basis().train, points(3000, -5.0))
