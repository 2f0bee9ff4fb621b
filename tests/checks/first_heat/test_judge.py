"""Steps of a plan against first heats played out: done, partly, not done, not shown."""

from dataclasses import replace

import numpy as np
import pytest

from tests.checks.first_heat.played import Played, hold, phase, started, step, sweep
from tests.made import JUDGING, KPA, RPM, limit, make_case, make_log
from witnessmark.checks.case import Case
from witnessmark.checks.driving.work import hold_time
from witnessmark.checks.first_heat.find import find_heat
from witnessmark.checks.first_heat.judge import judge_steps, out_of_order
from witnessmark.checks.first_heat.judge_work import sweep_time
from witnessmark.checks.first_heat.lines import (
    fire_speed,
    interruptions,
    starter_budget,
    too_slow,
)
from witnessmark.checks.first_heat.sheet import Sheet
from witnessmark.checks.terms import Terms
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.first_heat import Done, Ended
from witnessmark.model.log import Span
from witnessmark.model.plan import Doing
from witnessmark.model.said import Said
from witnessmark.units import Kind, Preferences

METRIC = Preferences()
CRANK = step(Doing.CRANK, time=10, times=2)
REST = step(Doing.REST, time=60)
FIRE = step(Doing.FIRE, time=30)
STOP = step(Doing.STOP)
HOLD, SWEEP = hold(2000, 300), sweep(2000, 4500, 500, 30, 2)
PHASES = (
    phase(CRANK, REST, name="prime"),
    phase(FIRE, STOP, name="first-fire", ceilings=[("engine_speed", "2500 rpm",
                                                    Kind.ROTATIONAL_SPEED)]),
    phase(HOLD, SWEEP, STOP),
)  # fmt: skip


def sheet(played: Played, phases=PHASES, noise: float = 0.0, **channels) -> Sheet:
    judging = {k: limit(t, kind) for k, (t, kind) in JUDGING.items()}
    log, terms = played.log(noise, **channels), Terms(phases[-1], judging)
    proof = limit("140 kPa", Kind.PRESSURE)
    return Sheet(log, terms, find_heat(log, terms), tuple(phases), proof)


def judged(played: Played, phases=PHASES, **more):
    return judge_steps(sheet(played, phases, **more))


def said(found):
    return found.said.read(METRIC)


def done(steps):
    return [found.done for found in steps]


def whole() -> Played:
    return started().go(2000, 300).ladder(2000, 4500, 500, 30, 2).go(900, 10).go(0, 30)


def test_a_first_heat_run_as_planned_is_done_in_every_step():
    steps = judged(whole(), noise=30)
    assert done(steps) == [Done.DONE] * 7
    assert [found.do_next for found in steps] == [None] * 7
    assert said(steps[4]).startswith("5 min between 1,850 rpm and 2,150 rpm")


def test_what_is_missing_of_hold_and_sweep_is_said_as_what_to_do_next():
    played = started().go(2000, 200).ladder(2000, 4500, 500, 30, 1).go(900, 10).go(0, 5)
    *_, held, swept, stopped = judged(played)
    assert held.done is swept.done is Done.PARTLY
    # 200 s of hold run into the sweep's first stay of 30 s, which is the sweep's.
    assert held.do_next.read(METRIC) == "Hold 2,000 rpm for 1 min 40 s more."
    assert "2 of 4 passes" in said(swept)
    assert swept.do_next.read(METRIC).startswith("Passes still to do: 2")
    assert stopped.done is Done.DONE


def test_steps_cut_short_are_counted_and_the_whole_is_not_done():
    played = started().go(2000, 300).ladder(2000, 4500, 500, 20, 2).go(0, 5)
    swept = judged(played)[5]
    assert swept.done is Done.PARTLY
    # 21 stays, the first and the last left out: each 20 s, a third short of 30 s.
    assert "cut short: 19 of 19 steps" in said(swept)
    assert swept.do_next.read(METRIC).startswith("Stay 30 s at each step, 10 min in all")


def test_steps_of_the_wrong_height_are_told():
    heights = sweep(2000, 4500, 250, 30, 1)
    played = started().ladder(2000, 4500, 500, 60, 1).go(0, 5)
    (swept, _) = judged(played, (phase(heights, STOP),))
    assert swept.done is Done.PARTLY
    assert "steps of about 500 rpm for 1 min (250 rpm for 30 s planned)" in said(swept)
    assert swept.do_next.read(METRIC) == "Next time in steps of 250 rpm."


@pytest.mark.parametrize(
    ("bursts", "rest", "answers", "words"),
    [
        ([10], 60, (Done.PARTLY, Done.DONE), "Bursts of 10 s still to do: 1"),
        ([10, 10], 60, (Done.DONE, Done.DONE), None),
        ([10, 4], 60, (Done.PARTLY, Done.DONE), "Bursts of 10 s still to do: 1"),
        ([10, 10, 10], 60, (Done.DONE, Done.DONE), None),
        ([10, 10], 20, (Done.DONE, Done.PARTLY), None),
        ([], 60, (Done.NOT_SHOWN, Done.NOT_SHOWN), "Send the recording of the prime"),
    ],
)
def test_bursts_and_rests(bursts, rest, answers, words):
    played = Played().go(0, 5)
    for seconds in bursts:
        played.go(200, seconds).go(0, rest)
    crank, rested, *_ = judged(played.go(220, 2).go(1000, 30).go(0, 60))
    assert (crank.done, rested.done) == answers
    if words:
        assert crank.do_next.read(METRIC).startswith(words)


def test_a_prime_without_pressure_is_no_prime():
    played = whole()
    low, enough = (np.where(np.array(played.speeds) > 100, p, 0.0) * KPA for p in (60, 180))
    assert judged(played, oil_pressure=enough)[0].done is Done.DONE
    crank = judged(played, oil_pressure=low)[0]
    assert crank.done is Done.PARTLY
    assert "only up to 60 kPa; 140 kPa is proof" in said(crank)


def test_a_log_that_sends_no_speed_while_cranking_does_not_show_the_prime():
    played = whole()
    played.speeds = [0.0 if v < 400 else v for v in played.speeds]
    crank = judged(played)[0]
    assert crank.done is Done.NOT_SHOWN
    assert "loggers often send none" in said(crank)


def test_going_straight_on_from_the_first_fire_is_told():
    played = Played().go(0, 5).go(220, 2).go(1000, 30).go(2000, 300).go(0, 5)
    steps = judged(played)
    assert steps[2].done is Done.DONE
    assert steps[3].done is Done.NOT_DONE
    assert "straight on" in said(steps[3])


def test_a_recording_that_begins_running_shows_neither_prime_nor_fire():
    steps = judged(Played().go(2000, 320))
    assert done(steps) == [*[Done.NOT_SHOWN] * 4, Done.DONE, Done.NOT_DONE, Done.NOT_SHOWN]


@pytest.mark.parametrize(("seconds", "answer"), [(6, Done.DONE), (14, Done.PARTLY)])
def test_a_flat_tappet_cam_goes_straight_to_speed(seconds, answer):
    at_once = step(Doing.FIRE, speed=2000, time=10)
    played = Played().go(0, 5).go(220, 2).go(1000, seconds).ladder(2000, 3000, 250, 75, 2).go(0, 5)
    fire, *_ = judged(played, (phase(at_once, sweep(2000, 3000, 250, 75, 2), STOP),))
    assert fire.done is answer
    assert said(fire).startswith(f"At 2,000 rpm {seconds} s after it fired")


def test_a_sweep_before_the_hold_is_out_of_order():
    played = started().ladder(2000, 4500, 500, 30, 2).go(900, 30).go(2000, 300).go(0, 5)
    steps = judged(played)
    (swap,) = out_of_order(steps)
    assert (swap.sooner.step.doing, swap.later.step.doing) == (Doing.HOLD, Doing.SWEEP)
    assert list(out_of_order(judged(whole()))) == []


def test_interruptions_say_how_long_what_and_how_soon_back():
    played = (
        started().go(2000, 100).go(0, 8).go(220, 2).go(1000, 3).go(2000, 60)
        .go(0, 300).go(220, 2).go(2000, 60).go(0, 90).go(220, 2).go(2000, 80).go(0, 9)
    )  # fmt: skip
    made = sheet(played)
    # A limit broken 4 s before the second stop.
    stop = sorted(made.found.runs, key=lambda r: r.span.start)[2].span.end
    broken = Finding("coolant.ceiling", "Coolant ceiling", Answer.BROKEN, Said("hot"),
                     events=(Event(Span(stop - 10, stop - 4), Said("hot")),))  # fmt: skip
    stall, hot, by_hand = interruptions(made, (broken,))
    assert stall.how is Ended.STALL
    assert (stall.span.length, stall.back) == pytest.approx((10, 3), abs=0.05)
    assert (hot.how, hot.what) == (Ended.LIMIT, "Coolant ceiling")
    assert by_hand.how is Ended.BY_HAND
    assert (by_hand.span.length, by_hand.back) == pytest.approx((92, 0), abs=0.05)


@pytest.mark.parametrize(("budget", "answer"), [("30 s", Answer.KEPT), ("20 s", Answer.BROKEN)])
def test_the_starter_has_a_budget(budget, answer):
    found = sheet(whole()).found  # 10 + 10 + 2 + 2 s
    (line,) = starter_budget(found, limit(budget, Kind.DURATION))
    assert line.answer is answer
    assert line.said.read(METRIC).startswith("24 s of cranking in 4 bursts")


@pytest.mark.parametrize(("seconds", "answer"), [(14, Answer.KEPT), (16, Answer.BROKEN)])
def test_a_flat_tappet_cam_may_be_slow_for_fifteen_seconds_at_a_time(seconds, answer):
    numbers = {"speed": limit("1500 rpm", Kind.ROTATIONAL_SPEED),
               "time": limit("15 s", Kind.DURATION)}  # fmt: skip
    played = Played().go(0, 5).go(220, 2).go(2000, 60).go(1400, seconds).go(2000, 60).go(0, 60)
    (line,) = too_slow(sheet(played), numbers)
    assert line.answer is answer
    assert list(too_slow(sheet(played), None)) == []


@pytest.mark.parametrize(("blip", "answer"), [(2400, Answer.KEPT), (2700, Answer.BROKEN)])
def test_the_first_fire_has_a_ceiling_of_its_own(blip, answer):
    played = Played().go(0, 5).go(220, 2).go(1000, 15).go(blip, 2).go(1000, 13).go(0, 120)
    (line,) = fire_speed(sheet(played.go(220, 2).go(2000, 300).go(4000, 30)))
    assert line.answer is answer


def case_of(played: Played, *steps) -> Case:
    judging = {k: limit(t, kind) for k, (t, kind) in JUDGING.items()}
    one = replace(phase(*steps), evidence={"hold_time": limit("5 min", Kind.DURATION)})
    return Case(played.log(), Terms(one, judging))


def test_the_review_takes_hold_and_sweep_from_the_same_finding():
    built = case_of(whole(), HOLD, SWEEP)
    (held,), (swept,) = hold_time(built), sweep_time(built)
    assert held.answer is swept.answer is Answer.KEPT
    assert swept.check == "shown.sweep"
    # The stays at 2,000 rpm between passes are the sweep's: the hold does not count them twice.
    built = case_of(started().go(2000, 240).ladder(2000, 4500, 500, 30, 2), HOLD, SWEEP)
    assert next(hold_time(built)).answer is Answer.TOO_LITTLE


def test_a_phase_without_a_sweep_has_no_line_for_one():
    built = make_case(make_log({"engine_speed": np.full(3000, 2000.0) * RPM}), hold="2000 rpm")
    assert list(sweep_time(built)) == []


def test_a_log_of_hours_does_not_pass_for_a_sweep():
    built = case_of(Played(1).go(2000, 9000), HOLD, SWEEP)
    (swept,) = sweep_time(built)
    assert swept.answer is Answer.TOO_LITTLE
    assert "too long" in swept.said.read(METRIC)
