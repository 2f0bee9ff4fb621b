import dataclasses

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.lubrication.builds import BOOK
from tests.made import make_log
from witnessmark.errors import UserError
from witnessmark.lubrication.calibration.readings import blocks, moments, readings
from witnessmark.lubrication.calibration.terms import fit_terms

TERMS = fit_terms(BOOK.fit)
WARM = 360.0  # K


def a_log(seconds=300, **channels):
    time = np.arange(0.0, seconds)
    shown = {
        "engine_speed": np.full(len(time), 20.0) + np.sin(time / 9),
        "oil_temperature": np.full(len(time), WARM),
        "oil_pressure": 3e5 + 3e4 * np.sin(time / 9),
    }
    return make_log({**shown, **channels}, step=1.0)


def test_a_plain_log_gives_all_but_its_first_seconds():
    found = readings(a_log(), TERMS)
    assert not found.usable[found.time < TERMS.start_settle].any()
    assert found.usable[found.time >= TERMS.start_settle].all()


def test_a_stopped_engine_cold_oil_and_silence_teach_nothing():
    log = a_log()
    log["engine_speed"][100:120] = 0.0
    log["oil_temperature"][150:160] = TERMS.coldest - 1
    log["oil_pressure"][200] = np.nan
    usable = readings(log, TERMS).usable
    assert not usable[100 : 120 + int(TERMS.start_settle)].any()  # nor just after the restart
    assert not usable[150:160].any()
    assert not usable[200]
    assert usable[[99, 135, 170, 201]].all()


@pytest.mark.parametrize(
    ("without", "said"),
    [
        ("oil_pressure", "does not show oil pressure"),
        ("oil_temperature", "does not show oil temperature"),
    ],
)
def test_a_missing_channel_is_named(without, said):
    log = a_log()
    log = dataclasses.replace(log, channels={k: v for k, v in log.channels.items() if k != without})
    with pytest.raises(UserError, match=said):
        readings(log, TERMS)


def test_a_stuck_gauge_is_refused():
    with pytest.raises(UserError, match="stays at 300 kPa throughout"):
        readings(a_log(oil_pressure=np.full(300, 3e5)), TERMS)


def test_too_short_a_log_is_refused():
    with pytest.raises(UserError, match="at least 2 min is wanted"):
        readings(a_log(60), TERMS)


def test_blocks_are_means_of_what_is_usable_only():
    log = a_log()
    log["oil_pressure"][50:53] = np.nan
    found = readings(log, TERMS)
    made = blocks((found,), 0.0, TERMS)
    assert len(made.pressure) == pytest.approx(290 / TERMS.block, abs=1)
    at = found.usable
    # Blocks of equal length: their mean is the mean of the samples, but for the short ones.
    assert_allclose(made.pressure.mean(), found.pressure[at].mean(), rtol=2e-3)
    assert np.isfinite(made.pressure).all()


def test_a_long_log_has_no_more_blocks_than_allowed():
    found = (readings(a_log(6000), TERMS),)
    for made in (blocks(found, 0.0, TERMS), moments(found, TERMS)):
        assert 100 < len(made.pressure) <= TERMS.most_blocks + 1


def test_moments_are_taken_where_the_speed_has_settled():
    # A step of the engine's speed in every stretch; the sender has not followed it yet.
    time = np.arange(300.0)
    speed = np.where(time % 10 < 5, 20.0, 40.0)
    found = readings(a_log(engine_speed=speed), TERMS)
    made = moments((found,), TERMS)
    assert set(np.round(made.speed, 9)) == {20.0, 40.0}
    settled = np.isin(np.flatnonzero(found.usable), np.flatnonzero(time % 5 == 4))
    assert len(made.speed) == pytest.approx(settled.sum(), abs=2)


def test_a_soaking_engine_is_colder_than_its_oil_while_it_warms():
    oil = np.linspace(300.0, 360.0, 300)
    found = readings(a_log(oil_temperature=oil), TERMS)
    at_once, behind = moments((found,), TERMS), moments((found,), TERMS, soak=60.0)
    # A ramp of 0.2 K/s followed with 60 s of lag stays 12 K behind (first-order instrument).
    assert_allclose(at_once.temperature[-1] - behind.temperature[-1], 12.0, rtol=0.02)


def test_halves_part_the_recording_by_its_time():
    first, second = readings(a_log(), TERMS).halves(0.5)
    assert first.usable.sum() + second.usable.sum() == 290
    assert first.time[first.usable].max() < 150 <= second.time[second.usable].min()
