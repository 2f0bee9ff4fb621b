"""Later logs against the reference, on simulated drives of an invented engine.

A loose version with small numbers of benchmarks/drift_power.py, which measures the rates.
"""

from dataclasses import replace

import numpy as np
import pytest
from benchmarks.drift_power import FIT, PETROL, TERMS, demo_prior

from tests.lubrication.drift.drives import LEAKY, engine, later, reference
from witnessmark.lubrication.drift.compare import Fill, compare
from witnessmark.lubrication.drift.fills import fuel_for, fuelled, new_fill, same_fill
from witnessmark.lubrication.drift.judge import judge
from witnessmark.lubrication.drift.reference import from_cloud, quick_reference
from witnessmark.lubrication.drift.terms import FOLLOWED
from witnessmark.model.drift import Moved


def compared(log, fill=None, against=None):
    return compare(against or reference(), log, fill or same_fill(TERMS), FIT, TERMS)


def words(found):
    return {change.name: change.moved for change in judge(found, TERMS)}


@pytest.mark.parametrize("seed", range(20, 26))
def test_a_sound_engine_raises_no_alarm(seed):
    # At the stated rate, one run in 170 of these six would.
    assert Moved.CHANGED not in words(compared(later(seed))).values()


def test_thirty_per_cent_more_leakage_is_found():
    found = compared(later(31, {"leak": 1.3}))
    assert words(found)["leak"] is Moved.CHANGED
    # How large it is hangs on how large the leakage was, which is known to some 20 %.
    assert np.exp(found.change[0]) == pytest.approx(1.3, abs=0.15)


def test_a_tired_relief_spring_is_found_and_nothing_else():
    found = compared(later(32, {"relief_opening": 0.95}))
    assert words(found)["relief_opening"] is Moved.CHANGED
    assert words(found)["leak"] is not Moved.CHANGED
    assert np.exp(found.change[1]) == pytest.approx(0.95, abs=0.015)


def test_stated_fuel_in_the_oil_is_no_alarm():
    thin = fuelled(engine().oil, 0.05, PETROL, TERMS)
    assert thin.oil is not None
    ratio = float(thin.oil.dynamic(360.0)) / float(engine().oil.dynamic(360.0))
    assert ratio < 0.85
    log = later(33, {"viscosity": ratio})
    assert words(compared(log, thin))["leak"] is not Moved.CHANGED
    # Not stated, the same log is one, with the oil named as what may have done it.
    unsaid = compared(log)
    assert words(unsaid)["leak"] is Moved.CHANGED
    assert unsaid.thinner.change == pytest.approx(np.log(ratio), abs=0.06)


def test_a_new_fill_is_known_less_well_than_the_old_one():
    log = later(34)
    assert compared(log, new_fill(TERMS)).sd[0] > compared(log).sd[0]


def test_nothing_known_of_the_oil_leaves_the_leakage_open():
    assert words(compared(later(34), Fill(0.3)))["leak"] is Moved.CANNOT_TELL


def test_a_relief_valve_that_never_opened_cannot_be_told():
    log = later(35)
    idle = log.only(log.speed < 0.2 * engine().rated)
    told = words(compared(idle))
    assert told["relief_opening"] is Moved.CANNOT_TELL
    assert told["relief_gradient"] is Moved.CANNOT_TELL


def test_without_the_references_readings_less_is_known():
    known = reference()
    rng = np.random.default_rng(0)
    cloud = known.best + 0.3 * rng.normal(size=(200, len(known.best)))
    bare = from_cloud(known.prior, known.best, cloud, known.lag, known.span)
    log = later(36)
    assert np.all(compared(log, against=bare).sd > compared(log).sd)


def test_a_gauge_that_scatters_widens_its_own_ranges():
    log = later(37)
    noise = np.random.default_rng(5).normal(scale=6e4, size=len(log.pressure))
    wild, calm = compared(replace(log, pressure=log.pressure + noise)), compared(log)
    assert wild.scatter > 1.5 * calm.scatter
    assert wild.sd[0] > calm.sd[0]


def test_one_wild_stretch_moves_nothing():
    log = later(38)
    pressure = log.pressure.copy()
    pressure[600:660] = 5e4  # half a minute of a loose plug
    loose = compared(replace(log, pressure=pressure))
    assert Moved.CHANGED not in words(loose).values()


def test_fuel_that_would_make_the_oil_that_thin():
    thin = fuelled(engine().oil, 0.04, PETROL, TERMS)
    assert thin.oil is not None
    change = float(np.log(thin.oil.dynamic(363.15) / engine().oil.dynamic(363.15)))
    low, high = fuel_for(engine().oil, change, PETROL)
    assert low < 0.04 < high
    assert fuel_for(engine().oil, 0.05, PETROL) is None


def test_only_like_running_is_compared():
    log = later(39)
    slow = log.only(log.speed < 0.3 * engine().rated)
    idle = quick_reference(demo_prior(), (slow,), FIT)
    fast = log.only(log.speed > 0.6 * engine().rated)
    found = compared(fast, against=idle)
    assert found.like < 0.1
    assert set(words(found).values()) == {Moved.CANNOT_TELL}


def test_what_is_followed_comes_first():
    assert FOLLOWED == ("leak", "relief_opening", "relief_gradient")
    assert LEAKY["leak"] > 1
