"""Oil pressure of a real engine, learned from half a flight and foretold for the other half.

Data: aircraft_flight_1hz.csv (origin: ../shared/README.md). The sheet beside this file guesses
the engine's size and says nothing of its oil system. The first half of the recording is taxiing
on cold oil; take-off, descent and hot idle are foretold without having been seen.

The log is not a stranger: three of the book's numbers for engines nobody measured (what films
and bearings take, the share of losses behind the relief valve) were set with it at hand, and the
two structures tried (curtain of the relief valve, soak) were found on it. That the method carries
over to other engines is shown by other engines' logs only, and none lies here.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from witnessmark.jobs.band import make_table
from witnessmark.jobs.build import load_build
from witnessmark.jobs.calibrate import calibrate
from witnessmark.jobs.known_engine import known_from
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.logs.read import read_log
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences

ROOT = Path(__file__).parents[2]
SHEET = Path(__file__).parent / "flat_six.toml"
WANTED = 12e3  # Pa; set by the issue that asked for this, to beat its power law's 17.3 kPa


@pytest.fixture(scope="module")
def flight(shared_data):
    return read_log(shared_data / "aircraft_flight_1hz.csv")


@pytest.fixture(scope="module")
def learned(flight):
    return calibrate(load_build(SHEET), [flight], hold_out=0.5)


def test_the_unseen_half_really_is_unseen(flight, learned):
    (log,) = learned.logs
    unseen = flight["engine_speed"][len(flight.time) // 2 :]
    assert log.fastest < 31 and np.nanmax(unseen) > 44  # rev/s: taxi, then take-off
    assert log.hottest < 273.15 + 46 and flight["oil_temperature"].max() > 273.15 + 80
    assert 400 < learned.foretold.seen < learned.foretold.unseen < 529  # rows of half the file


def test_second_half_of_the_flight_is_foretold(learned):
    assert learned.foretold.circuit < WANTED


def test_plain_rules_do_worse_on_the_same_readings(learned):
    # ../shared/README.md gives 103.8 (constant), 117.6 (linear) and 17.3 kPa (power law) on its
    # own choice of samples; ours leaves the start out, which alone takes a plane to 69.
    plain = learned.foretold
    assert plain.constant == pytest.approx(103.8e3, rel=0.05)
    assert 12e3 < plain.power < 30e3
    assert plain.linear > 50e3
    assert plain.circuit < min(plain.constant, plain.linear, plain.power)


def test_the_band_is_honest_about_what_it_has_not_seen(learned):
    # Nine of ten readings shall lie in a 5 to 95 % band; it may be wide, not boastful.
    assert learned.foretold.inside > 0.85


def test_relief_valve_has_no_flat_plateau(learned):
    # 420 kPa at 600 rpm and 703 kPa at 2,690 rpm stand in the file itself: the valve is open all
    # along, and its gradient is far from nothing.
    gradient = next(e for e in learned.estimates if e.name == "relief_gradient")
    assert gradient.low.value > 0.3 * gradient.value.value


def test_a_sound_engine_is_not_accused_by_what_half_its_flight_taught(flight, learned):
    # Throttle moves, warm-up and take-off included, most of it unseen by the fit.
    sheet = load_build(SHEET)
    plan = make_plan(load_build(ROOT / "demo" / "heron.toml"), films=False)
    own = replace(plan, band=make_table(sheet, known_from(sheet, learned)))
    findings = review(own, "first-50-miles", flight).verdict.findings
    for check in ("oil.floor", "oil.top"):
        (found,) = [f for f in findings if f.check == check]
        assert found.answer is Answer.KEPT, found.said.read(Preferences())
        assert "calibrated on 1 log of this engine" in found.said.read(Preferences())
