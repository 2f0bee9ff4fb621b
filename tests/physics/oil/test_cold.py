import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.physics.oil.liquids import coolprop
from witnessmark.physics.oil.cold import cranking_bound, pumping_bound
from witnessmark.physics.oil.grades import limits
from witnessmark.physics.oil.oil import oil_from_data

OIL = oil_from_data(61.7e-6, 10.9e-6, 855.0)


def test_from_zero_up_it_is_the_oils_own():
    t = np.array([273.15, 300.0, 400.0])
    for bound in (cranking_bound, pumping_bound):
        assert_allclose(bound(OIL, limits("5W-30"), t), OIL.dynamic(t), rtol=1e-15)


# SAE J300_201501: what the grade itself says at its own temperatures.
@pytest.mark.parametrize("grade", ["0W-20", "5W-30", "10W-40", "15W-40", "20W-50"])
def test_at_the_test_temperatures_it_is_the_limit_of_j300(grade):
    kept = limits(grade)
    assert_allclose(
        cranking_bound(OIL, kept, kept.cranking.temperature), kept.cranking.viscosity, rtol=1e-9
    )
    assert_allclose(
        pumping_bound(OIL, kept, kept.pumping.temperature), kept.pumping.viscosity, rtol=1e-9
    )


def test_no_step_at_zero_and_never_thinner_when_colder():
    t = np.linspace(225.0, 300.0, 400)
    for bound in (cranking_bound, pumping_bound):
        found = bound(OIL, limits("5W-30"), t)
        assert np.all((found[1:] < found[:-1]) | np.isinf(found[:-1]))
        near = bound(OIL, limits("5W-30"), np.array([273.15 - 1e-6, 273.15]))
        assert_allclose(near[0], near[1], rtol=1e-5)


# CoolProp's heat transfer oils (makers' tables) that reach -15 °C and colder. What holds for these
# fourteen was found to hold for all its liquids below -10 °C, brines too; air breaks it.
OILS = ("PGLT", "XLT", "PCL", "PLR", "PHR", "DowQ", "S800")
OILS += ("PMR", "TD12", "PMS1", "TVP1869", "HCM", "TCO", "DowJ")


@pytest.mark.parametrize("liquid", OILS)
def test_a_chord_lies_over_every_measured_oil(liquid):
    # The bound rests on this: between 0 °C and a cold limit, log viscosity bends upward.
    def theirs(temperature):
        return coolprop(liquid, "V", temperature)

    lowest = coolprop(liquid, "Tmin", 0, 0) + 0.01
    t = np.linspace(lowest, 273.15, 20)
    way = (273.15 - t) / (273.15 - lowest)
    chord = theirs(273.15) ** (1 - way) * theirs(lowest) ** way
    # 1e-9: the two ends lie on the chord but for rounding.
    assert np.all(chord >= np.array([theirs(x) for x in t]) * (1 - 1e-9))


def test_colder_than_the_grade_was_tested_nothing_is_promised():
    assert cranking_bound(OIL, limits("15W-40"), 250.0) == np.inf
    assert pumping_bound(OIL, limits("15W-40"), 250.0) < 60.0
    assert pumping_bound(OIL, limits("15W-40"), 248.0) == np.inf


def test_a_grade_without_w_promises_nothing_in_the_cold():
    assert cranking_bound(OIL, limits("30"), np.array([260.0, 280.0]))[0] == np.inf
    assert np.isfinite(pumping_bound(OIL, limits("30"), 280.0))


def test_an_oil_that_cannot_be_of_its_grade():
    thick = oil_from_data(1100e-6, 40e-6, 900.0)
    with pytest.raises(ValueError, match=r"Pa s at 0 °C; wanted less than the 6\.6 Pa s"):
        cranking_bound(thick, limits("5W"), 260.0)


def test_samples_broadcast():
    many = oil_from_data(np.array([[60e-6], [65e-6]]), 10.5e-6, 855.0)
    assert cranking_bound(many, limits("5W-30"), np.array([250.0, 270.0, 290.0])).shape == (2, 3)
