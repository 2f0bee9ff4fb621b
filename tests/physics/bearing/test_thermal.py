"""Film temperature against worked examples, an energy balance drawn up by other means, scaling."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from witnessmark.physics.bearing.feed import (
    combined_flow,
    hole_share,
    swept_hole_conductance,
)
from witnessmark.physics.bearing.steady import eccentricity_at, steady
from witnessmark.physics.bearing.thermal import (
    Journal,
    fed_flow,
    film_at,
    groove_flow,
    settle,
    side_flow,
    specific_heat,
    through_flow,
)
from witnessmark.physics.oil.oil import oil_from_data

INCH, POUND, PSI = 0.0254, 4.4482216152605, 6894.757293168  # m, N, Pa: exact definitions
REYN = PSI  # Pa s
BTU = 1055.05585262  # J, International Table
# Shigley's constants for oil: 0.0123 = 1.5 / (0.0311 lb/in³ · 0.42 Btu/(lb °F) · 9336 in lb/Btu).
BOOKS_HEAT = 1.5 / 0.0123 * PSI * 1.8  # J/(m³ K)


def fahrenheit(kelvin):
    return (kelvin - 273.15) * 1.8 + 32


def kelvin(degrees_fahrenheit):
    return (degrees_fahrenheit - 32) / 1.8 + 273.15


def seireg_dandage(scale, exponent):
    """Viscosity in Pa s against K: µ[µreyn] = scale · exp(exponent / (t + 95)), t in °F."""
    return lambda at: scale * 1e-6 * REYN * np.exp(exponent / (fahrenheit(at) + 95))


# Shigley, table 12-1 after Seireg and Dandage, from memory; 1.650 µreyn at 170 °F confirms it.
SAE_20 = seireg_dandage(0.0136, 1271.6)
# A 0W-20-like, a 5W-30-like and a 15W-40-like oil, invented.
OIL = oil_from_data(61.7e-6, 10.9e-6, 855.0, 2.9e-3)
ROD = Journal(0.048, 0.018, 25e-6)


# --- worked examples ---------------------------------------------------------------------------


def test_shigleys_pressure_fed_bearing():
    # Shigley, ch. 12, text example of a central circumferential groove (12-5 or 12-6 by edition):
    # SAE 20, 30 psi, 120 °F, d 1.750, l' 0.875, c 0.0015 in, 50 rev/s, 900 lbf. Book, from
    # memory and confirmed by an independent film solution (check-values.md D.3): Tf 168.5 °F,
    # rise 97.1 °F. Tolerance: the book reads fr/c off a chart.
    bearing = Journal(1.750 * INCH, 0.875 * INCH, 0.0015 * INCH, lands=2)
    found = settle(
        bearing, 900 * POUND, 50.0, kelvin(120), SAE_20, BOOKS_HEAT, groove_flow(30 * PSI)
    )
    assert_allclose(fahrenheit(found.temperature), 168.5, atol=0.15)
    assert_allclose(found.rise * 1.8, 97.1, rtol=0.005)
    # The same independent solution: µ 1.694 µreyn, S 0.0981, e 0.792, Qs 0.1214 in³/s, 554 Btu/h.
    assert_allclose(found.viscosity / REYN * 1e6, 1.694, rtol=0.002)
    assert_allclose(found.sommerfeld, 0.0981, rtol=0.002)
    assert_allclose(found.eccentricity, 0.792, atol=0.002)
    assert_allclose(found.stream / INCH**3, 0.1214, rtol=0.005)
    assert_allclose(found.friction_power * 3600 / BTU, 554.0, rtol=0.005)


def test_shigleys_main_bearing_by_trial():
    # Instructor's solutions to Shigley, ch. 12, p. 314: 2.5 x 2.5 in, c 0.002 in, SAE 20 from
    # 110 °F, 1120 rev/min, 1200 lbf, Raimondi and Boyd's own balance, seven trials by hand on
    # charts: Tf 123.9 °F, S 0.1724, rise 27.8 °F, h0/c 0.482, 0.124 Btu/s. Charts: 2.5 %.
    bearing = Journal(2.5 * INCH, 2.5 * INCH, 0.002 * INCH)
    found = settle(bearing, 1200 * POUND, 1120 / 60, kelvin(110), SAE_20, BOOKS_HEAT, through_flow)
    assert_allclose(fahrenheit(found.temperature), 123.9, atol=0.025 * 27.8 / 2)
    assert_allclose(found.rise * 1.8, 27.8, rtol=0.025)
    assert_allclose(found.sommerfeld, 0.1724, rtol=0.025)
    assert_allclose(1 - found.eccentricity, 0.482, rtol=0.025)
    assert_allclose(found.friction_power / BTU, 0.124, rtol=0.025)


# Shigley fig. 12-24, curves fitted to Raimondi and Boyd's rise: 0.120 dT[°C] / P[MPa] against S.
# From memory, confirmed here. One all but straight line for each L/D: it wanders to 13 % off at
# e > 0.6, as the points of Raimondi and Boyd themselves show, so it is held to e <= 0.5; the two
# constants the book uses for oil differ by 1.3 % besides.
CHART = {
    1.0: (0.349109, 6.00940, 0.047467),
    0.5: (0.394552, 6.392527, -0.036013),
    0.25: (0.933828, 6.437512, -0.011048),
}
LIGHT = [(1.0, 0.25), (1.0, 0.5), (1.0, 1.0), (0.5, 1.0), (0.5, 2.0), (0.25, 2.0), (0.25, 5.0)]


@pytest.mark.parametrize(("length_ratio", "sommerfeld"), LIGHT)
def test_rise_of_the_through_flow_against_the_books_chart(length_ratio, sommerfeld):
    bearing, speed, viscosity = Journal(0.05, 0.05 * length_ratio, 25e-6), 50.0, 0.01
    mean_pressure = 1000.0**2 * viscosity * speed / sommerfeld
    load = mean_pressure * 0.05**2 * length_ratio
    film = film_at(bearing, load, speed, viscosity)
    assert_allclose(film.sommerfeld, sommerfeld, rtol=1e-12)
    rise = film.friction_power / (BOOKS_HEAT * through_flow(film))
    flat, slope, bend = CHART[length_ratio]
    fitted = flat + slope * sommerfeld + bend * sommerfeld**2
    assert_allclose(0.120 * rise / (mean_pressure / 1e6), fitted, rtol=0.045)


# Engine oil, unused, of Çengel's heat transfer tables: °C, J/(kg K), density 888 at 20 °C.
@pytest.mark.parametrize(("celsius", "published"), [(20, 1880), (60, 2050), (100, 2220)])
def test_specific_heat_against_a_textbooks_engine_oil(celsius, published):
    # Two oils, ours petroleum in general: the spread between them is what 4 % stands for.
    assert_allclose(specific_heat(celsius + 273.15, 891.0), published, rtol=0.04)


# --- the balance of energy ---------------------------------------------------------------------


@pytest.mark.parametrize("load", [300.0, 3000.0, 12000.0])
@pytest.mark.parametrize("speed", [15.0, 50.0, 110.0])
def test_energy_closes_for_a_groove_fed_bearing(load, speed):
    # Nothing is taken from the film but temperature, rise and eccentricity: viscosity from the
    # oil, friction and flow from their formulas. Issue 3 asks for 0.01 %.
    diameter, land, clearance, pressure, inlet = 0.048, 0.0075, 25e-6, 3e5, 368.15
    found = settle(
        Journal(diameter, land, clearance, lands=2),
        load,
        speed,
        inlet,
        OIL,
        stream=groove_flow(pressure),
    )
    shear = np.pi * diameter * speed / clearance
    viscosity = OIL.dynamic(found.temperature, shear)
    number = (diameter / 2 / clearance) ** 2 * viscosity * speed * 2 * diameter * land / load
    e = float(found.eccentricity)
    attitude = steady(e, land / diameter).attitude
    friction = 2 * np.pi**2 * number / np.sqrt(1 - e**2) + e / 2 * np.sin(attitude)
    torque = friction * clearance * load  # (R/c) f · c W
    heat = 2 * np.pi * speed * torque
    around = np.pi * diameter / 12 * clearance**3 * (1 + 1.5 * e**2)
    flow = 2 * around / land * pressure / viscosity
    mass = OIL.density(found.temperature) * flow
    carried = mass * specific_heat(found.temperature, 855.0) * found.rise
    assert_allclose(carried, heat, rtol=1e-4)
    assert_allclose(found.temperature, inlet + found.rise / 2, rtol=1e-12)


@pytest.mark.parametrize("stream", [side_flow, through_flow, groove_flow(2e5)])
def test_what_is_handed_back_balances(stream):
    bearing = Journal(0.048, 0.0075, 25e-6, lands=2)
    found = settle(bearing, np.geomspace(10, 5e4, 40), 80.0, 380.0, OIL, stream=stream)
    carried = found.stream * found.heat_capacity * found.rise
    assert_allclose(carried, found.friction_power, rtol=1e-8)


def test_shigleys_own_form_of_the_rise():
    # dT[°C] = 978e6/(1 + 1.5 e²) · (fr/c) S W² / (ps r⁴), W in kN, ps in kPa, r in mm; from
    # memory. It is our balance with every length but r cancelled, to its three digits.
    diameter, speed, load, pressure = 0.05, 60.0, 4000.0, 3e5
    found = settle(
        Journal(diameter, 0.02, 30e-6, lands=2),
        load,
        speed,
        360.0,
        OIL,
        1.5e15 / 978e6,
        groove_flow(pressure),
    )
    film = steady(found.eccentricity, 0.4)
    top = 978e6 * film.friction * found.sommerfeld * (load / 1e3) ** 2
    book = top / ((1 + 1.5 * found.eccentricity**2) * (pressure / 1e3) * (diameter / 2 * 1e3) ** 4)
    assert_allclose(found.rise, book, rtol=1e-3)


def test_one_state_against_a_scalar_solver():
    # The same physics written once more, plainly, with scipy's bracketing solver.
    load, speed, inlet, capacity = 5000.0, 60.0, 370.0, 1.8e6

    def unbalanced(at):
        viscosity = SAE_20(at)
        number = (0.024 / 25e-6) ** 2 * viscosity * speed * 0.048 * 0.018 / load
        film = steady(eccentricity_at(number, 0.375), 0.375)
        side = film.flow * film.side_ratio * 0.024 * 25e-6 * speed * 0.018
        heat = 2 * np.pi * speed * film.friction * 25e-6 * load
        return float(inlet + heat / (capacity * side) / 2 - at)

    root = brentq(unbalanced, inlet, inlet + 200, xtol=1e-10)
    found = settle(ROD, load, speed, inlet, SAE_20, capacity)
    assert_allclose(found.temperature, root, atol=1e-6)


# --- scaling and limits ------------------------------------------------------------------------


@given(st.floats(20, 2e4), st.floats(10, 120), st.floats(300, 400))
@settings(max_examples=25, deadline=None)
def test_doubling_all_lengths(load, speed, inlet):
    # Shigley, problem 12-21 (solutions p. 322): lengths x 2 and load x 4 leave S, f, h0/c and Tf
    # alone; flow and loss grow eightfold, its H 9898 against 1237 Btu/h.
    small, large = (
        settle(
            Journal(0.05 * k, 0.02 * k, 25e-6 * k),
            load * k**2,
            speed,
            inlet,
            SAE_20,
            1.7e6,
        )
        for k in (1, 2)
    )
    for name in ("temperature", "sommerfeld", "eccentricity"):
        assert_allclose(getattr(large, name), getattr(small, name), rtol=1e-9)
    for name in ("stream", "friction_power"):
        assert_allclose(getattr(large, name), 8 * getattr(small, name), rtol=1e-8)
    assert_allclose(9898 / 1237, 8, rtol=0.001)


def test_doubling_with_feed_pressure():
    small, large = (
        settle(
            Journal(0.05 * k, 0.01 * k, 25e-6 * k, lands=2),
            3000.0 * k**2,
            60.0,
            360.0,
            SAE_20,
            1.7e6,
            groove_flow(3e5),
        )
        for k in (1, 2)
    )
    assert_allclose(large.temperature, small.temperature, rtol=1e-9)
    assert_allclose(large.stream, 8 * small.stream, rtol=1e-8)


def test_light_load_is_petroffs_bearing():
    # Petroff: torque 4 pi² µ N R³ l / c on each land of a centred journal, whatever the load.
    film = film_at(Journal(0.05, 0.01, 30e-6, lands=2), 1e-3, 50.0, 0.01)
    torque = 2 * 4 * np.pi**2 * 0.01 * 50.0 * 0.025**3 * 0.01 / 30e-6
    assert_allclose(film.friction_power, 2 * np.pi * 50.0 * torque, rtol=1e-6)


def test_short_bearing_side_flow():
    # Ocvirk: Qs = 2 pi e · R c N l for a short bearing; a film of L/D = 0.06 is 1 % from it.
    film = film_at(Journal(0.1, 0.006, 50e-6), 40.0, 30.0, 0.02)
    short = 2 * np.pi * film.steady.eccentricity * 0.05 * 50e-6 * 30.0 * 0.006
    assert_allclose(side_flow(film), short, rtol=0.01)


def test_the_two_balances_cross_where_two_thirds_are_lost():
    # Qs = Q - Qs/2 where Qs/Q = 2/3 (arithmetic): with less lost, hot oil comes round again and
    # the side flow alone runs hotter; with more, Raimondi and Boyd let too much leave half warm.
    film = film_at(ROD, np.geomspace(100, 20000, 30), 50.0, 0.01)
    assert np.array_equal(side_flow(film) < through_flow(film), film.steady.side_ratio < 2 / 3)
    hot = settle(ROD, 300.0, 50.0, 360.0, OIL, stream=side_flow)
    cool = settle(ROD, 300.0, 50.0, 360.0, OIL, stream=through_flow)
    assert hot.temperature > cool.temperature


def test_hotter_in_hotter_film_thinner_oil_less_friction():
    inlet = np.linspace(280, 420, 60)
    found = settle(ROD, 2000.0, 60.0, inlet, OIL)
    assert np.all(np.diff(found.temperature) > 0)
    assert np.all(np.diff(found.friction_power) < 0)
    assert np.all(np.diff(found.eccentricity) > 0)
    assert np.all(found.rise > 0)


def test_more_feed_pressure_cools_the_film():
    bearing = Journal(0.048, 0.0075, 25e-6, lands=2)
    found = settle(bearing, 3000.0, 80.0, 370.0, OIL, stream=groove_flow(np.array([1e5, 3e5, 6e5])))
    assert np.all(np.diff(found.temperature) < 0)


def test_a_hole_fed_rod_bearing_takes_both_flows():
    def kappa(eccentricity):
        return swept_hole_conductance(0.018, 0.005, 25e-6, eccentricity)

    found = settle(ROD, 4000.0, 80.0, 370.0, OIL, stream=fed_flow(4e5, kappa))
    film = film_at(ROD, 4000.0, 80.0, found.viscosity)
    by_pressure = kappa(found.eccentricity) * 4e5 / found.viscosity
    both = combined_flow(side_flow(film), by_pressure, hole_share())
    assert_allclose(found.stream, both, rtol=1e-8)


# --- shapes, oils, faults ----------------------------------------------------------------------


def test_everything_broadcasts_and_agrees_with_single_states():
    oils = oil_from_data(
        np.array([50e-6, 61.7e-6, 110e-6]), np.array([8.5e-6, 10.9e-6, 14.5e-6]), 855.0
    )
    clearance = np.array([20e-6, 30e-6])[:, None, None, None]
    load, speed = np.array([500.0, 5000.0])[:, None, None], np.array([20.0, 90.0])[:, None]
    all_at_once = settle(Journal(0.048, 0.018, clearance), load, speed, 365.0, oils)
    assert all_at_once.temperature.shape == (2, 2, 2, 3)
    one_oil = oil_from_data(110e-6, 14.5e-6, 855.0)
    one = settle(Journal(0.048, 0.018, 30e-6), 500.0, 90.0, 365.0, one_oil)
    assert one.temperature.shape == ()
    assert_allclose(all_at_once.temperature[1, 0, 1, 2], one.temperature, rtol=1e-10)
    assert_allclose(all_at_once.rise[1, 0, 1, 2], one.rise, rtol=1e-8)


def test_an_oil_is_its_viscosity_at_the_films_shear_rate():
    shear = np.pi * 0.048 * 60.0 / 25e-6
    asked = settle(ROD, 3000.0, 60.0, 370.0, lambda at: OIL.dynamic(at, shear), 1.8e6)
    assert_allclose(settle(ROD, 3000.0, 60.0, 370.0, OIL, 1.8e6).temperature, asked.temperature)
    at_rest = settle(ROD, 3000.0, 60.0, 370.0, OIL.dynamic, 1.8e6)
    assert at_rest.temperature > asked.temperature  # an oil that does not thin shears hotter


@pytest.mark.parametrize("stream", [side_flow, groove_flow(3e5)])
def test_oil_too_cold_for_its_formula_gives_no_answer_and_spares_the_others(stream):
    found = settle(ROD, 1000.0, 30.0, np.array([250.0, 300.0]), OIL, stream=stream)
    assert np.isnan(found.temperature[0])
    assert np.isnan(found.eccentricity[0])
    assert found.temperature[1] > 300.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: settle(Journal(0.05, 0.02, -1e-5), 1e3, 50, 360, OIL), "radial clearance: found"),
        (lambda: settle(ROD, 0.0, 50.0, 360.0, OIL), "bearing load: found 0, wanted"),
        (lambda: settle(ROD, 1e3, 0.0, 360.0, OIL), "journal speed: found 0, wanted"),
        (lambda: settle(ROD, 1e3, 50.0, -3.0, OIL), "inlet temperature: found -3, wanted"),
        (lambda: settle(ROD, 1e3, 50.0, 360.0, SAE_20), "without a heat capacity"),
        (lambda: settle(ROD, 1e3, 50.0, 360.0, OIL, 0.0), "heat capacity: found 0, wanted"),
        (lambda: settle(ROD, 1e3, 50.0, 360.0, OIL, share=0.0), "share of the rise: found 0"),
        (lambda: groove_flow(-1e5), "feed pressure: found -100000, wanted"),
        (
            lambda: settle(ROD, 1e3, 50.0, 360.0, lambda at: np.where(at < 372, 0.05, 1e-4), 1e6),
            "falls smoothly",
        ),
    ],
)
def test_states_no_bearing_has_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
