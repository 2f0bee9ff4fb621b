"""From sheet to circuit: every journal's own clearance, and what stands in for what is not said."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.lubrication.builds import BOOK, heron, least, with_row
from witnessmark.errors import UserError, UserErrors
from witnessmark.lubrication.circuit_of_build import VALVE_GEAR, circuit_of_build, feed_flows
from witnessmark.lubrication.oil_of_build import oil_of_build
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.model.lubrication_book import si
from witnessmark.physics.circuit.filter import pressure_loss

INCH = 0.0254


def built(sheet):
    return circuit_of_build(sheet, oil_of_build(sheet, BOOK).oil, BOOK)


def leak(made, name):
    return next(one for one in made.circuit.leaks if one.name == name)


def test_each_rod_journal_counts_with_half_its_own_clearance():
    # Martin and Lee's hole, and the exact mean of the cube over a turn, written out afresh. The
    # sheet's clearances are on the diameter; the formula wants the radius.
    c = np.array([0.0021, 0.0020, 0.0021, 0.0022, 0.0021]) * INCH / 2
    hole, length, e = 0.10 * 0.050, 0.019, 0.6
    kappa = np.sum(0.675 * c**3 * (hole / length + 0.4) ** 1.75 * (1 + 1.5 * e**2))
    assert_allclose(leak(built(heron()), "rod bearings").conductance, 1.6 * kappa, rtol=1e-9)


def test_a_full_groove_leaks_as_the_exact_formula_says():
    sheet = with_row(heron(), "main_bearings", groove="full")
    c = np.array(sheet.main_bearings.clearances) / 2
    land = 0.0205 * (1 - 0.15) / 2
    kappa = np.sum(math.pi * 0.058 * c**3 * (1 + 1.5 * 0.6**2) / (6 * land))
    assert_allclose(leak(built(sheet), "main bearings").conductance, 1.6 * kappa, rtol=1e-9)


@pytest.mark.parametrize("row", ["main_bearings", "rod_bearings", "cam_bearings"])
def test_half_the_clearance_leaks_an_eighth(row):
    whole = heron()
    half = with_row(whole, row, clearances=tuple(c / 2 for c in getattr(whole, row).clearances))
    name = row.replace("_", " ")
    ratio = leak(built(half), name).conductance / leak(built(whole), name).conductance
    assert_allclose(ratio, 1 / 8, rtol=1e-9)  # exact: laminar flow goes with the cube


def test_the_crank_pumps_for_the_rods_only():
    made = built(heron())
    # Rigid turning fluid: 2 π² (r_out² - r_in²), pin at half the stroke, main journal at half its
    # diameter; 88 mm and 58 mm.
    assert_allclose(leak(made, "rod bearings").head, 2 * math.pi**2 * (0.044**2 - 0.029**2))
    assert leak(made, "main bearings").head == leak(made, "cam bearings").head == 0


def test_feeds_are_those_of_the_sheet_and_the_valve_gear():
    holes = {hole.name: hole for hole in built(heron()).circuit.orifices}
    assert set(holes) == {"piston jets", "turbo", "chain tensioner", VALVE_GEAR}
    assert_allclose(holes["piston jets"].area, math.pi / 4 * 0.0014**2)
    assert holes["piston jets"].count == 5
    assert holes["piston jets"].opening == 2e5
    assert holes["turbo"].opening == 0


def test_losses_and_slip_are_what_the_book_says_where_it_says():
    sheet, made = heron(), built(heron())
    c, density = made.circuit, si(BOOK.oil.density)
    # What the book says, less what of it lies before the relief valve's own place.
    behind = si(BOOK.ways.behind_relief)
    q = si(BOOK.ways.filter_flow) * made.rated_flow
    loss = pressure_loss(q, 0.010, density, c.filter_laminar, c.filter_turbulent)
    assert_allclose(loss, behind * si(BOOK.ways.filter_loss), rtol=1e-9)
    loss = pressure_loss(made.rated_flow, 0.010, density, c.passage_laminar, c.passage_turbulent)
    assert_allclose(loss, behind * si(BOOK.ways.passage_loss), rtol=1e-9)
    assert_allclose(c.bypass_opening, behind * si(BOOK.ways.bypass_opening), rtol=1e-9)
    back = c.slip * 400e3 / 0.010
    displaced = sheet.oil_pump.displacement * 2000 / 60
    assert_allclose(back, si(BOOK.pump.slip) * displaced, rtol=1e-9)


def test_a_pump_nobody_measured_is_assumed_and_said():
    sheet = heron(('displacement = "14.0 cm³/rev"\n', ""))
    made = built(sheet)
    assert not made.pump_measured
    # The book's six cubic centimetres a turn of the crank for each litre.
    assert_allclose(made.circuit.pump_displacement, 6e-6 * sheet.displacement * 1e3)
    assert "oil_pump.displacement" in {note.path for note in made.assumed}


def test_a_cam_driven_pump_nobody_measured_is_twice_as_large():
    sheet = heron(
        ('displacement = "14.0 cm³/rev"\n', ""), ("drive_ratio = 1.0", "drive_ratio = 0.5")
    )
    made = built(sheet)
    assert_allclose(made.rated_flow, 6e-3 * sheet.displacement * sheet.layout.redline)


@pytest.mark.parametrize("sheet", [least(), heron(('displacement = "14.0 cm³/rev"\n', ""))])
def test_without_measurements_leaks_and_feeds_are_shares_of_the_rated_flow(sheet):
    made = built(sheet)
    kappa = sum(float(one.conductance) for one in made.circuit.leaks)
    wanted = si(BOOK.unmeasured.leak) * made.rated_flow
    assert_allclose(kappa * 400e3 / 0.020, wanted, rtol=1e-9)
    flows = feed_flows(made.circuit.orifices, oil_of_build(sheet, BOOK).oil, BOOK)
    assert_allclose(sum(flows), si(BOOK.unmeasured.feeds) * made.rated_flow, rtol=1e-6)


def test_measured_clearances_are_not_touched_by_a_missing_gradient():
    sheet = heron(('relief_gradient = "4.0 kPa/(L/min)"\n', ""))
    made = built(sheet)
    assert made.leak_measured
    climb = made.circuit.relief_gradient * made.rated_flow / sheet.oil_pump.relief_pressure
    assert_allclose(climb, si(BOOK.relief.climb), rtol=1e-9)
    assert "oil_pump.relief_gradient" in {note.path for note in made.assumed}


def test_every_clearance_of_nothing_or_less_is_named():
    sheet = heron()
    bad = (0.0, *sheet.rod_bearings.clearances[1:4], -1e-5)
    with pytest.raises(UserErrors) as caught:
        built(with_row(sheet, "rod_bearings", clearances=bad))
    faults = caught.value.faults
    assert [f.where for f in faults] == ["rod_bearings.clearances[1]", "rod_bearings.clearances[5]"]
    assert all("no oil fits" in f.found for f in faults)


def test_a_clearance_that_lets_pressure_never_build_is_named_with_the_remedy():
    sheet = heron()
    # 0.022 in typed for 0.0022: ten times the clearance, a thousand times the leak.
    wide = tuple(10 * c for c in sheet.main_bearings.clearances)
    with pytest.raises(UserError) as caught:
        prior_of_build(with_row(sheet, "main_bearings", clearances=wide), BOOK)
    error = caught.value
    assert error.where == "main_bearings.clearances[3]"  # the widest of them
    assert "0.0230 in" in error.found
    assert "never builds" in error.found
    assert "Measure again" in error.remedy


def test_a_feed_that_lets_pressure_never_build_is_named():
    sheet = heron(('turbo = "1.0 mm"', 'turbo = "10 mm"'))
    with pytest.raises(UserError) as caught:
        prior_of_build(sheet, BOOK)
    assert caught.value.where == "feeds"
    assert "turbo" in caught.value.found


def test_sizes_no_bearing_has_are_an_error_of_the_sheet():
    sheet = with_row(heron(), "rod_bearings", length=0.004)  # shorter than its oil hole
    with pytest.raises(UserError, match="rod_bearings"):
        built(sheet)
