"""Whole channels: faults put in are found to the sample and the size, sound ones not accused."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from tests.checks.signals.signals import STEP, at, drive, log_with
from tests.made import KPA, RPM, celsius, make_log
from witnessmark.checks.signals.rules import rules
from witnessmark.checks.signals.truth import truth_of
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.signal import Flaw


def faults(log):
    return {name: [f.flaw for f in s.faults] for name, s in truth_of(log).items() if s.faults}


def test_every_rule_is_for_a_channel_we_know():
    book, known = rules(), vocabulary().entries
    named = {*book.channels, *(p.name for p in book.followers), *(p.behind for p in book.followers)}
    named |= {r.stuck.follows for r in book.channels.values() if r.stuck}
    assert named <= set(known)


@pytest.mark.parametrize("step", [0.02, 0.1, 0.5, 1.0])
def test_a_sound_drive_is_not_accused_at_any_rate(step):
    assert faults(log_with(step, seconds=400)) == {}


def test_rate_and_step_of_a_sound_drive():
    truth = truth_of(log_with())
    speed = truth["engine_speed"]
    assert_allclose([speed.interval, speed.longest, speed.rate], [0.1, 0.1, 10.0])
    assert_allclose(speed.step, 1 * RPM)
    assert_allclose(truth["coolant_temperature"].step, 1.0)
    assert_allclose(truth["manifold_pressure"].step, 1e3)
    assert not speed.polled


def test_a_polled_channel_is_told_its_own_rate_and_its_longest_silence():
    log = log_with()
    fresh = np.zeros(len(log.time), dtype=bool)
    fresh[::7] = True
    fresh[500:600] = False
    log.fresh["oil_pressure"] = fresh
    signal = truth_of(log)["oil_pressure"]
    read = np.flatnonzero(fresh)
    assert signal.polled
    assert signal.readings == len(read)
    assert_allclose([signal.interval, signal.longest], [0.7, np.diff(read).max() * STEP])


def test_a_pause_in_recording_is_nobodys_silence():
    signal = truth_of(log_with(gaps={300: 60.0}))["oil_pressure"]
    assert_allclose(signal.longest, 0.1)


def test_a_stuck_manifold_is_found_to_the_sample():
    values = drive()["manifold_pressure"]
    values[200:600] = 73.0 * KPA
    log = log_with(manifold_pressure=values)
    (fault,) = truth_of(log)["manifold_pressure"].faults
    first, last = at(log, fault.spans[0])
    assert fault.flaw is Flaw.STUCK
    assert values[199] != 73.0 * KPA != values[600]
    assert (first, last) == (200, 599)
    assert_allclose(fault.level, 73.0 * KPA)


@pytest.mark.parametrize(("seconds", "stuck"), [(10, False), (25, True)])
def test_standing_still_for_a_moment_is_no_fault(seconds, stuck):
    values = drive()["manifold_pressure"]
    values[200 : 200 + seconds * 10] = 73.0 * KPA
    found = faults(log_with(manifold_pressure=values))
    assert found == ({"manifold_pressure": [Flaw.STUCK]} if stuck else {})


def test_a_manifold_still_while_the_engine_idles_is_no_fault():
    idle = {
        "engine_speed": np.full(1200, 800.0) * RPM,
        "manifold_pressure": np.full(1200, 35e3),
        "road_speed": np.zeros(1200),
    }
    assert faults(log_with(**idle)) == {}


def test_coolant_may_stand_at_its_thermostat_but_not_at_forty():
    n = 6000
    speed = (2000 + 500 * np.sin(np.arange(n) / 40)) * RPM
    for level, found in ((88.0, {}), (40.0, {"coolant_temperature": [Flaw.STUCK]})):
        log = make_log({"engine_speed": speed, "coolant_temperature": celsius(np.full(n, level))})
        assert faults(log) == found


def test_pedals_rest_at_their_ends_but_not_for_a_whole_drive():
    pedal = drive()["pedal_position"]
    pedal[100:900] = 0.0
    assert faults(log_with(pedal_position=pedal)) == {}
    assert faults(log_with(pedal_position=np.zeros(1200))) == {"pedal_position": [Flaw.STUCK]}


def test_a_standing_car_is_not_a_stuck_road_speed_nor_no_knock_a_stuck_knock():
    still = np.zeros(1200)
    assert faults(log_with(road_speed=still, knock_retard=still)) == {}


def test_a_clipped_oil_pressure_is_found_to_the_sample_with_its_level():
    whole = drive()["oil_pressure"]
    cut = np.minimum(whole, 350 * KPA)
    log = log_with(oil_pressure=cut)
    (fault,) = truth_of(log)["oil_pressure"].faults
    assert (fault.flaw, fault.end) == (Flaw.CLIPPED, "high")
    assert_allclose(fault.level, 350 * KPA)
    where = np.zeros(len(cut), dtype=bool)
    for span in fault.spans:
        where[log.at(span)] = True
    assert np.array_equal(where, whole >= 350 * KPA)


def test_lambda_that_ends_at_one_is_clipped_and_free_air_is_not():
    # At load the probe swings through 1.00; this one cannot read leaner.
    t = np.arange(1200) * STEP
    lean = np.round(1.0 + 0.12 * np.sin(t * 2), 2)
    assert faults(log_with(**{"lambda": np.minimum(lean, 1.0)})) == {"lambda": [Flaw.CLIPPED]}
    overrun = np.where(np.sin(t / 3) > 0.6, 1.99, lean)
    assert faults(log_with(**{"lambda": overrun})) == {}


def test_a_plug_that_drops_out_is_found_to_the_sample():
    values = drive()["coolant_temperature"]
    for first, length in ((300, 4), (700, 20), (900, 1)):
        values[first : first + length] = 233.65
    log = log_with(coolant_temperature=values)
    (fault,) = truth_of(log)["coolant_temperature"].faults
    assert fault.flaw is Flaw.DROPPED_OUT
    assert [at(log, s) for s in fault.spans] == [(300, 303), (700, 719), (900, 900)]
    assert_allclose(fault.level, 233.65)


def test_readings_written_again_and_again_lower_the_rate_of_every_channel():
    held = {name: np.repeat(values[::10], 10) for name, values in drive(240).items()}
    truth = truth_of(make_log(held, STEP))
    assert truth["engine_speed"].fault(Flaw.REPEATED) is not None
    # Coolant moves too slowly to tell by itself: it is taken to be like the rest.
    assert_allclose([s.interval for s in truth.values()], 1.0)


def test_a_fast_channel_among_repeated_ones_keeps_its_rate():
    held = {name: np.repeat(values[::10], 10) for name, values in drive(240).items()}
    held["engine_speed"] = drive(240)["engine_speed"]
    truth = truth_of(make_log(held, STEP))
    assert_allclose(truth["engine_speed"].interval, 0.1)
    assert_allclose(truth["oil_pressure"].interval, 1.0)


@settings(deadline=None, max_examples=25)
@given(st.sampled_from([0.5, 1.0, 2.0, 4.0]), st.integers(-20, 60))
def test_faults_of_acceleration_do_not_hang_on_its_zero_or_scale(scale, offset):
    # No level of this channel means anything by itself, so both may change freely.
    t = np.arange(1200) * STEP
    pushed = np.round(4 * np.sin(t * 0.9), 2)
    pushed[400:700] = 1.0
    log = log_with(acceleration_longitudinal=pushed)
    moved = log_with(acceleration_longitudinal=pushed * scale + offset)
    plain, other = (truth_of(x)["acceleration_longitudinal"].faults for x in (log, moved))
    assert [f.flaw for f in plain] == [f.flaw for f in other] == [Flaw.STUCK]
    assert plain[0].spans == other[0].spans
    assert_allclose(other[0].level, plain[0].level * scale + offset)


def test_a_long_log_gives_the_same_faults_to_the_sample():
    # Longer than the sample that statistics are taken from: runs are still exact.
    n = 60_000
    whole = drive(n * STEP)
    values = whole["manifold_pressure"]
    values[41_000:41_700] = 150.0 * KPA
    log = make_log(whole, STEP)
    (fault,) = truth_of(log)["manifold_pressure"].faults
    assert at(log, fault.spans[0]) == (41_000, 41_699)
