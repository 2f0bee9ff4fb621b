"""The crank train of a build sheet: bearings, weights, gas and loads."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.jobs.engines import engine
from tests.lubrication.builds import BOOK, heron, least, with_row
from tests.lubrication.films import ATM, FILM_BOOK, points
from witnessmark.errors import UserError
from witnessmark.lubrication.crank_of_build import crank_of_build
from witnessmark.lubrication.film import ANGLES
from witnessmark.lubrication.gas_of_build import gas_of_build, loads_of_build
from witnessmark.model.lubrication_book import si
from witnessmark.units import Kind


def train(sheet=None):
    return crank_of_build(sheet or heron(), FILM_BOOK, BOOK)


def test_clearances_are_halved_and_the_tightest_and_widest_rod_stand_for_all():
    tight, wide = train().rods
    assert (tight.name, wide.name) == ("rod bearing 2", "rod bearing 4")
    # 0.0020 in and 0.0022 in on the diameter.
    assert_allclose((tight.clearance, wide.clearance), (25.4e-6, 27.94e-6))
    assert tight.measured


def test_rods_all_alike_are_one():
    alike = with_row(heron(), "rod_bearings", clearances=(50e-6,) * 5)
    assert [shell.name for shell in train(alike).rods] == ["rod bearing 1"]


def test_every_main_carries_its_own_load_on_its_own_clearance():
    found = train()
    assert [shell.load for shell in found.mains] == [0, 1, 2, 3, 4, 5]
    assert_allclose(
        [2 * shell.clearance for shell in found.mains], heron().main_bearings.clearances
    )


def test_a_full_groove_makes_two_lands_of_one_bearing():
    found = train(with_row(heron(), "main_bearings", groove="full")).mains[0]
    assert found.lands == 2
    width = si(BOOK.bearings.groove_width) * 20.5e-3
    assert_allclose(2 * found.length + width, 20.5e-3)


def test_what_was_not_said_is_said_to_be_assumed():
    told = {a.path for a in train(least()).assumed}
    assert {"layout.compression_ratio", "weights", "rod_bearings.clearances"} <= told
    assert not train(least()).rods[0].measured


def test_a_sheet_that_gives_everything_assumes_only_the_weights():
    assert [a.path for a in train().assumed] == ["weights"]


def test_mains_that_cannot_be_told_are_left_out_with_the_reason():
    found = train(least())
    assert found.mains == ()
    assert found.layout is None
    assert "firing order" in found.mains_missing


def test_diesels_forged_and_cast_pistons_differ_in_weight():
    by = {
        "diesel": train(engine(fuel="diesel")),
        "forged": train(),
        "cast": train(heron(('pistons = "forged"', 'pistons = "cast"'))),
    }
    weight = {name: one.masses.reciprocating for name, one in by.items()}
    assert weight["diesel"] > weight["forged"] > weight["cast"]


@pytest.mark.parametrize("clearance", [0.0, -1e-6])
def test_no_oil_fits_in_nothing(clearance):
    bad = with_row(heron(), "rod_bearings", clearances=(50e-6, clearance, 50e-6, 50e-6, 50e-6))
    with pytest.raises(UserError) as caught:
        train(bad)
    assert caught.value.where == "rod_bearings.clearances[2]"


def test_a_bearing_no_film_was_tabulated_for_is_refused_with_both_ends():
    bad = with_row(heron(), "main_bearings", length=1e-3)
    with pytest.raises(UserError) as caught:
        train(bad)
    assert caught.value.where == "main_bearings.length"
    assert "0.05 to 2.5 times" in caught.value.wanted


# Gas


def test_gas_pushes_harder_with_more_charge_and_least_when_it_breathes_in():
    gas = gas_of_build(heron(), FILM_BOOK).pressure(
        ANGLES, train().cylinder, points(3000, [40e3, ATM, 1.5 * ATM])
    )
    assert np.all(np.diff(gas.max(axis=1)) > 0)
    # Over the crankcase's: the throttled cylinder is under it while it breathes in (the angles run
    # from -360°; -270° is half way down the intake stroke).
    assert_allclose(gas[0, np.argmin(np.abs(ANGLES + 1.5 * np.pi))], 40e3 - ATM, rtol=1e-6)


def test_the_heat_ratio_goes_through_the_books_three_points():
    a, b, c = gas_of_build(heron(), FILM_BOOK).heat_ratio
    gas = FILM_BOOK.gas
    for at, ratio in ((gas.cool, gas.ratio_cool), (gas.warm, gas.ratio_warm),
                      (gas.hot, gas.ratio_hot)):  # fmt: skip
        assert_allclose(a + b * si(at) + c * si(at) ** 2, si(ratio))


def test_loads_run_from_closed_to_full_throttle_and_then_to_full_boost():
    found = loads_of_build(heron(), FILM_BOOK, 45e3)
    assert np.all(np.diff(found.intake) > 0)
    assert_allclose(found.intake[[0, found.full, -1]], (30e3, ATM, ATM + 45e3))
    assert found.shown[0].kind is Kind.ABSOLUTE_PRESSURE


def test_without_boost_full_throttle_is_the_most():
    found = loads_of_build(heron(), FILM_BOOK, 0.0)
    assert found.full == len(found.intake) - 1


def test_a_diesels_load_is_its_fuel():
    found = loads_of_build(engine(fuel="diesel"), FILM_BOOK, 100e3)
    shares = [load.value for load in found.shown]
    assert found.shown[0].kind is Kind.FRACTION
    assert shares == sorted(shares)
    assert_allclose(shares[-1], 1.0)
    assert np.all(np.diff(found.mixture[: found.full + 1]) < 0)
    assert found.intake[0] > 90e3  # no throttle


def test_a_blower_makes_boost_from_idle_and_a_turbo_does_not():
    turbo = loads_of_build(heron(), FILM_BOOK, 45e3)
    blower = loads_of_build(engine(induction="supercharged"), FILM_BOOK, 45e3)
    assert turbo.boosted_from > blower.boosted_from == heron().layout.idle_speed
