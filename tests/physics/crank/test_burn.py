import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.crank.burn import (
    GAS_CONSTANT,
    Burn,
    Fuel,
    burnt_fraction,
    charge_heat,
    fresh_charge,
    wiebe,
)
from witnessmark.physics.crank.motion import Cylinder

CYLINDER = Cylinder(bore=0.084, stroke=0.088, rod=0.149, compression_ratio=10.0)
PORT = Fuel(heating_value=43e6, air_ratio=14.6, inducted=True)
DIRECT = Fuel(heating_value=43e6, air_ratio=14.6, inducted=False)

# check values, section J (the law itself evaluated there; a = 5, m = 2 after Heywood, from
# memory): fraction of the duration, burnt fraction, to four figures.
WIEBE_5_2 = [(0.1, 0.0050), (0.25, 0.0752), (0.5, 0.4647), (0.75, 0.8787), (1.0, 0.9933)]
WIEBE_6908_2 = [(0.5, 0.5783), (1.0, 0.999)]


@pytest.mark.parametrize(("x", "expected"), WIEBE_5_2)
def test_wiebe_with_heywoods_constants(x, expected):
    burn = Burn(start=-0.3, duration=1.0, form=2.0, completeness=5.0)
    assert_allclose(wiebe([x - 0.3], burn), [expected], atol=5e-5)  # half the last figure


@pytest.mark.parametrize(("x", "expected"), WIEBE_6908_2)
def test_wiebe_that_burns_999_in_a_thousand(x, expected):
    burn = Burn(start=0.0, duration=0.8, form=2.0, completeness=6.908)
    assert_allclose(wiebe([0.8 * x], burn), [expected], atol=5e-5)


@given(st.floats(0.5, 4.0), st.floats(2.0, 7.0), st.floats(0.0, 1.0))
def test_all_heat_is_released_whatever_the_form(form, completeness, share):
    stages = [Burn(-0.2, 0.3, form, completeness, share), Burn(0.0, 1.0, 1.0, 5.0, 1 - share)]
    angle = np.linspace(-1, 2, 50)
    burnt = burnt_fraction(angle, stages)
    assert burnt[0] == 0
    assert_allclose(burnt[-1], 1.0, rtol=1e-12)
    assert np.all(np.diff(burnt) >= 0)


def test_an_engine_that_breathes_out_at_intake_pressure_traps_its_swept_volume():
    # Ideal gas law: with exhaust and intake at one pressure the clearance stays full of residual.
    mass = fresh_charge(CYLINDER, math.pi, 9e4, 300.0, 9e4, heat_ratio=1.35)
    assert_allclose(mass, 9e4 * CYLINDER.swept / (GAS_CONSTANT * 300.0), rtol=1e-12)


@pytest.mark.parametrize("back", [0.5, 2.0, 3.3])
def test_fresh_charge_against_heywoods_volumetric_efficiency(back):
    # Heywood (1988), eq. 6.2 (from memory), without fuel vapour, at inlet temperature:
    # r/(r-1) - [pe/pi + (gamma - 1)] / (gamma (r - 1)).
    r, gamma, inlet = 10.0, 1.4, 5e4
    efficiency = r / (r - 1) - (back + gamma - 1) / (gamma * (r - 1))
    mass = fresh_charge(CYLINDER, -math.pi, inlet, 310.0, back * inlet, heat_ratio=gamma)
    assert_allclose(mass, efficiency * inlet * CYLINDER.swept / (GAS_CONSTANT * 310.0), rtol=1e-12)


def test_heat_of_a_charge_by_hand():
    # Stoichiometry: 15.6 g of mixture hold 1 g of petrol; 14.6 g of air take 1 g.
    assert_allclose(charge_heat(15.6e-3, 1.0, PORT), 43e3, rtol=1e-12)
    assert_allclose(charge_heat(14.6e-3, 1.0, DIRECT), 43e3, rtol=1e-12)
    assert_allclose(charge_heat(14.6e-3, 2.0, DIRECT), 21.5e3, rtol=1e-12)


def test_a_rich_charge_burns_no_more_than_its_air():
    assert_allclose(charge_heat(1e-3, 0.8, DIRECT), charge_heat(1e-3, 1.0, DIRECT), rtol=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: wiebe([0.0], Burn(0, 0.0, 2, 5)), "duration"),
        (lambda: burnt_fraction([0.0], [Burn(0, 1, 2, 5, 0.5)]), "add up to 1"),
        (lambda: charge_heat(1e-3, 0.0, PORT), "lambda"),
        (lambda: fresh_charge(CYLINDER, -3.0, 1e4, 300.0, 2e5), "fresh mass"),
    ],
)
def test_impossible_inputs_are_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
