"""Which fuel an air-fuel ratio counts by: told by its readings, the fuel, or asked."""

import numpy as np
import pytest

from tests.logs.channels.made import ROWS, SWING, column, log_of
from witnessmark.errors import UserError
from witnessmark.logs.channels.mixture import fuel_in_tank, fuel_named, stoichiometric
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.channel import Sure

CRUISE = 0.02 * np.sin(np.arange(ROWS) / 3)  # a closed loop swings by 2 % about lambda 1


def chemistry(hydrogen: float, oxygen: float) -> float:
    """Air per fuel of CHyOz: Heywood (1988), eq. 3.6, with its atomic weights. From memory."""
    fuel = 12.011 + 1.008 * hydrogen + 16.0 * oxygen
    return 34.56 * (4 + hydrogen - 2 * oxygen) / fuel


@pytest.mark.parametrize(
    ("fuel", "hydrogen", "oxygen"),
    # Heywood (1988), table D.4, from memory: gasoline CH1.87, light diesel CH1.8.
    [("petrol", 1.87, 0), ("ethanol", 3, 0.5), ("methanol", 4, 1), ("diesel", 1.8, 0)],
)
def test_what_a_fuel_burns_with_against_its_chemistry(fuel, hydrogen, oxygen):
    # Gauges round: petrol's 14.7 is 14.6 by chemistry, methanol's 6.5 is 6.47. 1 % holds both.
    assert vocabulary().fuels[fuel].afr == pytest.approx(chemistry(hydrogen, oxygen), rel=0.01)


@pytest.mark.parametrize(("name", "share"), [("petrol", 0), ("E10", 0.1), ("E85", 0.85),
                                             ("ethanol", 1)])  # fmt: skip
def test_blends_by_mass_give_the_common_numbers(name, share):
    # 14.1 for E10 and 9.8 for E85 are written to one decimal.
    assert vocabulary().fuels[name].afr == pytest.approx(stoichiometric(share), abs=0.05)


def test_the_tank_of_a_build_sheet():
    assert fuel_in_tank("diesel", 0) == "diesel"
    assert fuel_in_tank("petrol", 0) == "petrol"
    assert fuel_in_tank("ethanol blend", 0.85) == "E85"
    assert fuel_named("E30").afr == pytest.approx(stoichiometric(0.3))
    assert fuel_named("soup") is None and fuel_named("E101") is None


def test_readings_about_14_7_are_on_the_petrol_scale_whatever_the_fuel():
    for fuel in ("", "petrol", "E85"):
        log = log_of({"AFR": 14.7 * (1 + CRUISE)}, fuel=fuel)
        assert float(np.mean(log["lambda"])) == pytest.approx(1, abs=2e-3)
    assert "whatever the fuel (E85)" in column(log, "AFR").why


def test_readings_about_9_8_can_only_be_ethanol_blend():
    # On the petrol scale 9.8 is lambda 0.67: richer than any engine cruises.
    log = log_of({"AFR": 9.8 * (1 + CRUISE)})
    assert float(np.mean(log["lambda"])) == pytest.approx(1, abs=2e-3)
    assert column(log, "AFR").sure is Sure.LIKELY


def test_the_fuel_in_the_tank_decides_between_e10_and_petrol():
    on_e10 = log_of({"AFR": 14.1 * (1 + CRUISE)}, fuel="E10")
    # E10 of the table counts by 14.1; a tank told as E10 is mixed by mass: 14.05 to 14.13.
    assert float(np.mean(on_e10["lambda"])) == pytest.approx(1, abs=0.005)


@pytest.mark.parametrize(
    ("fuel", "middle"),
    [("", 10.8), ("E85", 11.0), ("E85", 11.2)],  # both scales are an engine's: 0.75 or 1.1
)
def test_what_cannot_be_told_is_asked_with_both_answers(fuel, middle):
    log = log_of({"AFR": middle * (1 + 0.06 * (SWING - 0.5))}, fuel=fuel)
    found = column(log, "AFR")
    assert "lambda" not in log
    assert found.sure is Sure.ASKED
    for option in ("'AFR=lambda:AFR E85'", "'AFR=lambda:AFR petrol'"):
        assert f"--channel {option}" in found.why


@pytest.mark.parametrize(("told", "afr"), [("AFR E85", 9.8), ("AFR petrol", 14.7),
                                           ("AFR 14.1", 14.1), ("AFR", 14.7)])  # fmt: skip
def test_the_answer_is_taken(told, afr):
    log = log_of({"AFR": 10.8 + 0 * SWING}, f"AFR=lambda:{told}")
    assert log["lambda"][0] == pytest.approx(10.8 / afr)
    assert column(log, "AFR").sure is Sure.CERTAIN


@pytest.mark.parametrize("told", ["AFR soup", "AFR 200", "AFR E85 E10"])
def test_an_answer_that_is_no_fuel_is_refused(told):
    with pytest.raises(UserError, match="is not a unit of mixture"):
        log_of({"AFR": 10.8 + 0 * SWING}, f"AFR=lambda:{told}")


def test_a_fuel_in_the_name_decides():
    log = log_of({"AFR (E85)": 11 + SWING})
    assert log["lambda"][0] == pytest.approx((11 + SWING[0]) / 9.8)


def test_a_diesel_is_lean_and_taken_all_the_same():
    log = log_of({"AFR": 20 + 30 * SWING}, fuel="diesel")
    assert log["lambda"].min() == pytest.approx(20 / vocabulary().fuels["diesel"].afr, rel=0.02)


def test_full_load_alone_on_petrol_is_petrol():
    log = log_of({"AFR": 12.2 + 0.4 * SWING})
    assert np.median(log["lambda"]) == pytest.approx(12.4 / 14.7, abs=0.01)


def test_of_two_banks_the_leanest_counts_and_both_are_shown():
    log = log_of({"Lambda Bank 1": 1 - 0.1 * SWING, "Lambda Bank 2": 0.9 + 0.1 * SWING})
    assert log["lambda"] == pytest.approx(np.maximum(1 - 0.1 * SWING, 0.9 + 0.1 * SWING), abs=1e-5)
    for name in ("Lambda Bank 1", "Lambda Bank 2"):
        assert "the leanest of them" in column(log, name).why
        assert column(log, name).seen.low == pytest.approx(0.9)


def test_two_that_differ_on_one_bank_are_still_asked():
    log = log_of({"Lambda": 1 - 0.1 * SWING, "Wideband lambda": 0.8 + 0.1 * SWING})
    assert "lambda" not in log
    assert "they differ" in column(log, "Lambda").why
