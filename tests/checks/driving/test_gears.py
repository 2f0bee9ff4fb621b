"""Gears are told from engine and road speed; what cannot be told is said not to be."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.made import RPM, make_case, make_log
from witnessmark.checks.case import Case
from witnessmark.checks.driving.gears import Out
from witnessmark.model.log import Span
from witnessmark.model.plan import EngineFacts
from witnessmark.physics.gearing import engine_speed, ratio_clusters, tyre_diameter
from witnessmark.physics.lag import follow

# An invented five-speed: gears, final drive, 225/45R17.
GEARS, FINAL, TYRE = (3.36, 1.98, 1.37, 1.02, 0.79), 3.77, tyre_diameter(0.225, 0.45, 0.4318)
TURNS = np.array([engine_speed(1.0, gear * FINAL, TYRE) for gear in GEARS])
STEP = 0.1
# Gear, seconds, road speed from and to, km/h.
ROUTE = [(0, 12, 12, 30), (1, 20, 30, 55), (2, 25, 50, 80), (3, 30, 70, 95), (4, 40, 90, 100),
         (3, 20, 95, 70), (2, 20, 70, 45), (1, 15, 45, 25)]  # fmt: skip
CHANGE, COAST = 0.6, 15.0


def drive(quantum=0.0, lag=0.0, noise=0.0):
    """The route with changes of gear between, then coasting to a stop in neutral."""
    speed, road, gear = [], [], []
    for number, lasts, begin, end in ROUTE:
        n = round(lasts / STEP)
        v = np.linspace(begin, end, n) / 3.6
        change = round(CHANGE / STEP)
        road += [v, np.full(change, v[-1])]
        speed += [v * TURNS[number], np.full(change, 1300 * RPM)]
        gear += [np.full(n, number), np.full(change, Out.CHANGING)]
    n = round(COAST / STEP)
    road.append(np.linspace(25, 6, n) / 3.6)
    speed.append(np.full(n, 900 * RPM))
    gear.append(np.full(n, Out.COASTING))
    road_speed, engine = np.concatenate(road), np.concatenate(speed)
    engine = engine * (1 + noise * np.random.default_rng(2).normal(size=len(engine)))
    time = np.arange(len(road_speed)) * STEP
    road_speed = follow(time, road_speed, lag)
    if quantum:
        road_speed = np.round(road_speed / quantum) * quantum
    return {"engine_speed": engine, "road_speed": road_speed}, np.concatenate(gear)


def judged(channels, gears=(), step=STEP) -> Case:
    case = make_case(make_log(channels, step))
    return replace(case, terms=replace(case.terms, facts=EngineFacts(gears=tuple(gears))))


# Whole km/h, half a second of lag, 1 % of ripple: what phone adapters send.
@pytest.mark.parametrize(
    ("quantum", "lag", "noise", "within"),
    [(0.0, 0.0, 0.0, 1e-9), (1 / 3.6, 0.0, 0.0, 0.02), (1 / 3.6, 0.5, 0.01, 0.04)],
)
def test_the_five_gears_of_the_box_are_found(quantum, lag, noise, within):
    # Half a km/h at 25 km/h is 2 %; a lag of 0.5 s at 0.42 m/s² is 0.2 m/s, 3.6 % of the mean
    # road speed in first.
    channels, _ = drive(quantum, lag, noise)
    assert_allclose([g.turns for g in judged(channels).gears.used], TURNS, rtol=within)


def test_each_sample_is_in_its_gear_and_the_rest_has_its_reason():
    channels, gear = drive()
    found = judged(channels).gears
    # One change passes at third's very ratio, and the last runs into the coasting: 12 samples.
    wrong = np.flatnonzero(found.gear != gear)
    assert len(wrong) == 12
    assert {int(g) for g in gear[wrong]} == {Out.CHANGING}
    assert found.out[Out.COASTING] == pytest.approx(COAST, abs=2 * STEP)


def test_time_and_distance_by_gear_add_up():
    channels, gear = drive()
    found = judged(channels).gears
    fifth = found.used[-1]
    assert fifth.seconds == pytest.approx(40.0, abs=2 * STEP)
    assert fifth.distance == pytest.approx(40 * 95 / 3.6, rel=0.01)
    whole = sum(g.seconds for g in found.used) + sum(found.out.values())
    assert whole == pytest.approx(len(gear) * STEP)


def test_the_sheet_names_them_though_the_tyre_rolls_short():
    channels, _ = drive()
    channels["road_speed"] = channels["road_speed"] * 0.97
    found = judged(channels, TURNS).gears
    assert [g.name for g in found.used] == ["first", "second", "third", "fourth", "fifth"]
    assert "3 % more" in found.why


def test_gears_of_another_box_are_not_given_its_names():
    channels, _ = drive()
    found = judged(channels, TURNS * np.array([1.0, 1.15, 1.0, 0.9, 1.1])).gears
    assert [g.name for g in found.used] == [""] * 5
    assert "do not fit the sheet" in found.why


def test_a_stretch_says_its_gear_by_name_or_by_its_speed():
    channels, _ = drive()
    named, bare = judged(channels, TURNS).gears, judged(channels).gears
    in_second = Span(15.0, 25.0)
    assert named.said(named.during(in_second))[0] == " in second"
    assert "gear_engine" in bare.said(bare.during(in_second))[1]


def test_a_belt_drive_has_no_gears():
    noise = np.random.default_rng(5)
    road = 10 + 15 * np.abs(np.sin(np.arange(6000) / 300))
    ratio = np.exp(noise.uniform(0.3, 1.5, 60)).repeat(100)
    ratio = follow(np.arange(6000) * STEP, ratio, 20.0)  # drifts, as a belt does
    found = judged({"engine_speed": road * ratio, "road_speed": road}).gears
    assert found.used == ()
    assert "converter" in found.why


def test_a_slipping_converter_is_told_from_the_clutch():
    channels, _ = drive()
    before = judged(channels).gears.out[Out.SLIPPING]
    slip = slice(round(40 / STEP), round(46 / STEP))  # in third, the engine ahead of the car
    channels["engine_speed"][slip] *= 1.22
    after = judged(channels).gears.out
    assert after[Out.SLIPPING] - before == pytest.approx(6.0)
    assert after[Out.COASTING] == pytest.approx(COAST, abs=2 * STEP)


def test_without_road_speed_nothing_is_guessed():
    found = judged({"engine_speed": np.full(100, 30.0)}).gears
    assert found.used == ()
    assert found.why == "the log shows no road speed"


def test_a_ratio_held_too_briefly_is_no_gear():
    ratios = np.r_[np.full(1000, 2.0), np.full(50, 3.0)]
    assert_allclose(ratio_clusters(ratios, np.full(1050, 0.1), 0.05, 1.12, 10.0), [2.0])


@pytest.mark.parametrize(("step", "gears"), [(1.08, 1), (1.2, 2)])
def test_ratios_nearer_than_a_step_are_one_gear(step, gears):
    ratios = np.r_[np.full(1000, 2.0), np.full(1000, 2.0 * step)]
    assert len(ratio_clusters(ratios, np.full(2000, 0.1), 0.02, 1.12, 10.0)) == gears
