"""Phases of played-out first heats: every boundary is known from the play, none is worked out.

Without noise a boundary is found to the sample. With noise, coarse readings or slow polling the
tolerance stands beside each test with its reason.
"""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from tests.checks.first_heat.played import Played, hold, started, sweep, terms
from tests.made import RPM, make_log
from witnessmark.checks.first_heat.find import find_heat
from witnessmark.model.first_heat import Ended

HOLD, SWEEP = hold(2000, 300), sweep(2000, 4500, 500, 30, 2)


def ends(spans):
    return [(span.start, span.end) for span in spans]


def whole_heat(rate: float = 10.0) -> Played:
    """Prime, first fire, hold and sweep as planned, half a minute of idle, off."""
    played = started(rate).go(2000, 300, "hold").ladder(2000, 4500, 500, 30, 2)
    return played.go(900, 30, "idle").go(0, 20)


@pytest.mark.parametrize("rate", [1, 4, 10, 100])
def test_every_boundary_is_found_to_the_sample(rate):
    played = whole_heat(rate)
    found = find_heat(played.log(), terms(HOLD, SWEEP))
    (ladder,) = found.sweeps[1]
    half = 0.5 / rate  # anything but the very sample would be off by a whole one
    key = found.key_on
    assert_allclose((key.start, key.end), played.at["key"][0], atol=half)
    assert_allclose(ends(b.span for b in found.bursts), played.at["burst"], atol=half)
    assert [b.fired for b in found.bursts] == [False, False, True, True]
    assert_allclose(ends(found.holds[0].spans), played.at["hold"], atol=half)
    assert_allclose(found.holds[0].seconds, 300, atol=half)
    assert_allclose(ends(s.span for s in ladder.stays), played.at["stay"], atol=half)
    assert_allclose(ends(found.idles), [*played.at["run"], *played.at["idle"]], atol=half)
    assert [p.whole for p in ladder.passes] == [True] * 4
    assert [p.rising for p in ladder.passes] == [True, False, True, False]
    assert [r.ended for r in found.runs] == [Ended.BY_HAND, Ended.BY_HAND]


@pytest.mark.parametrize(
    ("rate", "noise", "grain"), [(10, 50, 0), (10, 30, 50), (4, 40, 25), (1, 30, 10), (100, 60, 0)]
)
def test_noise_and_coarse_readings_move_a_boundary_by_two_samples_at_most(rate, noise, grain):
    # A step of 500 rpm is ten times the noise: two readings tell it. At 100 Hz, a fifth of a
    # second for the starter's edges, where the median of three meets the 400 rpm line.
    played = whole_heat(rate)
    found = find_heat(played.log(noise, grain), terms(HOLD, SWEEP))
    (ladder,) = found.sweeps[1]
    slack = max(2 / rate, 0.2) + 0.5 / rate
    assert_allclose(ends(b.span for b in found.bursts), played.at["burst"], atol=slack)
    assert_allclose(ends(s.span for s in ladder.stays), played.at["stay"], atol=slack)
    # Readings over the ±150 rpm band do not count: at 60 rpm of noise 1 in 80 (normal, 2.5 sigma).
    assert_allclose(found.holds[0].seconds, 300, atol=slack + 300 / 80)
    assert len(ladder.passes) == 4


def test_polled_readings_held_by_the_logger_move_it_by_one_poll():
    # Logged at 10 Hz, asked for at 1 Hz: ten rows show the same reading.
    played = whole_heat(10)
    played.speeds = list(np.repeat(played.speeds[::10], 10)[: len(played.speeds)])
    found = find_heat(played.log(), terms(HOLD, SWEEP))
    (ladder,) = found.sweeps[1]
    assert_allclose(ends(s.span for s in ladder.stays), played.at["stay"], atol=1.05)
    assert_allclose(found.holds[0].seconds, 300, atol=1.05)


def test_dropouts_end_neither_a_run_nor_a_hold():
    played = whole_heat(10)
    log = played.log()
    gaps = np.random.default_rng(3).integers(3300, 11000, 40)
    speed = log.channels["engine_speed"]
    for kind, at in enumerate(gaps):  # no reading for a second, or a stray zero or two
        speed[at : at + (10 if kind % 2 else 2)] = np.nan if kind % 2 else 0.0
    found = find_heat(log, terms(HOLD, SWEEP))
    assert len(found.runs) == 2
    assert len(found.bursts) == 4
    assert [p.whole for p in found.sweeps[1][0].passes] == [True] * 4
    # Stray zeros inside the hold do not count, a second without a reading does.
    assert 295 <= found.holds[0].seconds <= 300.05


def test_a_hold_split_by_a_stall_a_stop_and_a_blip_adds_up():
    played = (
        started().go(2000, 100, "hold").ramp(2000, 300, 0.6).go(0, 8).go(230, 2)
        .go(2000, 60, "hold").go(0, 600).go(230, 2).go(2000, 90, "hold").go(3800, 2)
        .go(2000, 48, "hold").go(900, 4).go(0, 9)
    )  # fmt: skip
    found = find_heat(played.log(), terms(HOLD, SWEEP))
    one, two, three, four = played.at["hold"]
    spans = ends(found.holds[0].spans)
    # The fall to a stop crosses the last 150 rpm of the band in a twentieth of a second.
    assert_allclose(spans, [one, two, (three[0], four[1])], atol=0.15)
    assert_allclose(found.holds[0].seconds, 298, atol=0.15)
    assert [r.ended for r in found.runs[1:]] == [Ended.STALL, Ended.BY_HAND, Ended.BY_HAND]
    assert found.sweeps[1] == ()


def test_a_hold_that_runs_into_the_sweep_gives_it_its_first_stay():
    found = find_heat(whole_heat().log(), terms(HOLD, SWEEP))
    (ladder,) = found.sweeps[1]
    assert_allclose(ladder.spans[0].start, found.holds[0].spans[-1].end, atol=0.01)


def test_a_technician_who_counts_the_hold_as_first_step_has_done_both():
    played = started().go(2000, 300).ladder(2000, 4500, 500, 30, 2)
    played.speeds[3290:3590] = []  # the first stay of 30 s left out
    found = find_heat(played.log(), terms(HOLD, SWEEP))
    assert_allclose(found.holds[0].seconds, 300, atol=0.01)
    assert [p.whole for p in found.sweeps[1][0].passes] == [True] * 4


def test_a_sweep_from_the_top_down():
    played = started().ladder(2000, 4500, 500, 30, 1, down=True).go(0, 5)
    (ladder,) = find_heat(played.log(), terms(sweep(2000, 4500, 500, 30))).sweeps[0]
    assert [(p.rising, p.whole) for p in ladder.passes] == [(False, True), (True, True)]
    assert_allclose(ends(s.span for s in ladder.stays), played.at["stay"], atol=0.05)


def test_a_stall_in_the_middle_of_a_sweep_pauses_it():
    played = started()
    for level in (2000, 2500, 3000):
        played.go(level, 30)
    played.go(3500, 12).go(0, 8).go(230, 2).go(3500, 18).go(4000, 30).go(4500, 30).go(0, 5)
    (ladder,) = find_heat(played.log(), terms(sweep(2000, 4500, 500, 30))).sweeps[0]
    assert [p.whole for p in ladder.passes] == [True]
    assert_allclose([s.seconds for s in ladder.stays], 30, atol=0.05)
    assert_allclose(ladder.seconds, 180, atol=0.05)


def test_blips_and_idling_for_a_word_do_not_break_a_sweep():
    played = started()
    for level in (2000, 2500, 3000, 3500, 4000, 4500):
        played.go(level, 14).go(level + 1200, 2).go(level, 16)
        if level == 3000:
            played.go(950, 40)
    (ladder,) = find_heat(played.go(0, 5).log(), terms(sweep(2000, 4500, 500, 30))).sweeps[0]
    assert [p.whole for p in ladder.passes] == [True]
    assert_allclose([s.seconds for s in ladder.stays], 30, atol=0.15)
    # Blips are part of it, the idling is not; the first and the last stay count for 30 s.
    assert_allclose(ladder.seconds, 4 * 32 + 2 * 30, atol=0.15)


@pytest.mark.parametrize("seconds", [100, 150, 300])
def test_a_slow_ramp_is_a_sweep_without_steps(seconds):
    played = started().ramp(2000, 4500, seconds).ramp(4500, 2000, seconds).go(0, 5)
    (ladder,) = find_heat(played.log(20), terms(sweep(2000, 4500, 500, 30))).sweeps[0]
    assert ladder.ramp
    assert [p.whole for p in ladder.passes] == [True, True]
    # Its edges are where the ramp turns: a stay of the fit stands for ±9 s of it at most.
    assert_allclose(ladder.seconds, 2 * seconds, atol=9)


def test_a_quick_run_up_is_no_sweep():
    played = (
        started().go(2000, 60).ramp(2000, 4500, 8).go(4500, 20).ramp(4500, 2000, 8).go(2000, 60)
    )
    assert find_heat(played.log(20), terms(sweep(2000, 4500, 500, 30))).sweeps[0] == ()


@pytest.mark.parametrize("seed", range(12))
def test_speed_varied_at_random_is_no_sweep(seed):
    # The pattern common for a flat tappet cam, and some like it: none goes from end to end.
    dice = np.random.default_rng(seed)
    levels = [2000, 2500, 1800, 3000] if seed == 0 else dice.uniform(1700, 3000, 16)
    played = started(2)
    for level in levels:
        played.go(level, dice.uniform(30, 120))
    found = find_heat(played.log(30, seed=seed), terms(sweep(2000, 3000, 250, 75, 2)))
    assert [p for one in found.sweeps[0] for p in one.passes if p.whole] == []


def test_steps_of_another_height_are_found_with_their_own():
    played = started().ladder(2000, 4400, 800, 30).go(0, 5)
    (ladder,) = find_heat(played.log(20), terms(sweep(2000, 4500, 500, 30))).sweeps[0]
    heights = [h for p in ladder.passes for h in p.heights]
    # The median of 300 readings with 20 rpm of noise lies within 5 rpm (4 standard errors).
    assert_allclose(np.array(heights) / RPM, 800, atol=10)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from([1900, 2000, 2200]), st.integers(2, 6), st.sampled_from([250, 400, 500, 700]),
    st.integers(20, 60), st.integers(1, 3), st.integers(1, 6), st.booleans(), st.integers(30, 200),
    st.lists(st.integers(5, 90), max_size=3), st.floats(0, 40),
)  # fmt: skip
def test_what_was_done_is_what_is_found(
    low, rungs, rung, each, times, passes, down, held, stops, noise
):
    """Any plan, done in part or more than planned, stopped anywhere: found as it was done."""
    high = low + rungs * rung
    planned = terms(hold(low - 500, held), sweep(low, high, rung, each, times))
    played, levels = started(4), list(range(low, high + 1, rung))
    if down:
        levels = levels[::-1]
    played.go(low - 500, held)
    for level in levels:
        played.go(level, each)
    for one in range(1, passes):
        for level in (levels[-2::-1], levels[1:])[(one + 1) % 2]:
            played.go(level, each)
    first = round(300 * played.rate)
    for stop, pause in enumerate(stops):  # in the first, second, third third of the hold
        at = first + round((held * stop / 3 + held / 6) * played.rate)
        at += round(sum(stops[:stop]) * played.rate + 2 * stop * played.rate)
        off = [0.0] * round(pause * played.rate) + [230.0] * round(2 * played.rate)
        played.speeds[at:at] = off
    found = find_heat(played.go(0, 5).log(noise), planned)
    least = 10 * (len(stops) + 1)  # a stretch shorter than 10 s counts as passing through
    if held / 6 >= 12:
        # Noise of 40 rpm takes 1 reading in 5,000 over the band (normal, 3.75 sigma).
        assert_allclose(found.holds[0].seconds, held, atol=0.5 + 0.02 * held * (noise > 20))
    else:
        assert held - least <= found.holds[0].seconds <= held + 0.5
    assert len(found.runs) == 2 + len(stops)
    assert [p.whole for one in found.sweeps[1] for p in one.passes] == [True] * passes
    assert len(found.sweeps[1]) == 1
    assert_allclose([s.seconds for s in found.sweeps[1][0].stays], each, atol=1.0)


def test_a_log_without_speeds_as_low_as_cranking_says_so():
    speed = np.r_[np.zeros(100), np.full(600, 1000.0)]
    found = find_heat(make_log({"engine_speed": speed * RPM}), terms(HOLD))
    assert not found.cranking_shown
    assert found.bursts == ()
    assert found.runs[0].start_shown


def test_running_down_is_no_cranking_and_stalling_on_the_starter_is():
    down = started().go(900, 60).ramp(900, 0, 6).go(0, 60)
    again = started().go(900, 60).go(250, 5).go(900, 60)
    assert len(find_heat(down.log(), terms(HOLD)).bursts) == 4
    found = find_heat(again.log(), terms(HOLD))
    assert len(found.bursts) == 5
    assert found.runs[1].ended is Ended.STALL


def test_a_cough_on_the_starter_is_no_fire():
    played = Played().go(0, 5).go(200, 4).go(700, 0.6).go(200, 4).go(0, 30)
    found = find_heat(played.log(), terms(HOLD))
    assert found.runs == ()
    assert_allclose(ends(b.span for b in found.bursts), [(5, 13.6)], atol=0.05)


def test_a_pause_in_the_recording_is_no_stop():
    speed = np.full(1200, 2000.0)
    log = make_log({"engine_speed": speed * RPM}, gaps={600: 120.0})
    found = find_heat(log, terms(HOLD))
    assert found.runs[0].ended is Ended.UNSEEN
    assert not found.runs[1].start_shown
    assert_allclose(found.holds[0].seconds, 120, atol=0.05)


def test_a_recording_of_a_whole_day_is_not_searched_for_sweeps():
    found = find_heat(make_log({"engine_speed": np.full(9000, 2000.0) * RPM}, 1.0), terms(SWEEP))
    assert found.too_long
    assert found.sweeps == {}
