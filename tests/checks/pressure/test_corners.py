"""Dips of oil pressure are found to the sample, and tied to cornering only where they belong."""

from dataclasses import replace

import numpy as np
import pytest

from tests.made import KPA, RPM, celsius, make_case, make_log
from witnessmark.checks.pressure.corners import dips_in_corners
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences

STEP = 0.05  # 20 readings a second, inside what dips need
G = 9.80665


# Where the road bends: no two gaps alike, as on a road, so that no shift meets them all again.
BEND_AT = 20.0 + np.cumsum(np.random.default_rng(8).integers(8, 19, 43))
BENDS = (BEND_AT[::3] + 0.5)[:12].tolist()
STRAIGHTS = (BEND_AT[::3] + 5.0)[:12].tolist()


def drive(minutes: float = 10.0, seed: int = 3):
    """A winding road: engine speed, pressure that follows it and thins as it warms, corners."""
    noise = np.random.default_rng(seed)
    time = np.arange(0, minutes * 60, STEP)
    speed = 2500 + 900 * np.sin(time / 9) + 300 * np.sin(time / 2.7)
    oil = 60 + 35 * (1 - np.exp(-time / 200))
    pressure = (180 + speed / 12) * (1.6 - oil / 150) + noise.normal(0, 3, len(time))
    corner = np.zeros(len(time))
    for n, at in enumerate(BEND_AT):  # 2 s long, left and right
        corner[(time >= at) & (time < at + 2)] = 0.6 * G * (-1) ** n
    return {
        "engine_speed": speed * RPM, "oil_pressure": pressure * KPA,
        "oil_temperature": celsius(oil), "acceleration_lateral": corner + 0.3,
    }  # fmt: skip


def dip(channels, starts, length=0.3, share=0.5):
    for start in starts:
        channels["oil_pressure"][round(start / STEP) : round((start + length) / STEP)] *= share
    return channels


def judged(channels, step=STEP, **changed):
    log = replace(make_log(channels, step), **changed)
    (found,) = dips_in_corners(make_case(log))
    return found


def test_a_sound_sump_shows_no_dip_on_a_winding_road():
    found = judged(drive())
    assert found.answer is Answer.KEPT
    assert found.said.read(Preferences()).startswith("0 dips")


def test_every_dip_in_a_bend_is_found_to_the_sample_with_its_force():
    found = judged(dip(drive(), BENDS))
    assert found.answer is Answer.BROKEN
    assert [e.span.start for e in found.events] == pytest.approx(BENDS, abs=1e-6)
    assert [e.span.length for e in found.events] == pytest.approx([0.3] * 12, abs=1e-6)
    said = found.events[0].said.read(Preferences())
    assert "0.60 g sideways" in said or "0.61 g sideways" in said


def test_a_loose_plug_dips_anywhere_and_is_no_starving_pick_up():
    found = judged(dip(drive(), STRAIGHTS))
    assert found.answer is Answer.KEPT
    assert "12 dips" in found.said.read(Preferences())
    assert "none with" in found.said.read(Preferences())


def test_dips_at_random_moments_are_not_blamed_on_corners():
    # Bends fill 2 of 13 s: of 40 random dips six or more meet one, and chance says so. 1 in 1,000
    # logs may be blamed by design, so of 20 none.
    blamed = 0
    for seed in range(20):
        times = np.sort(np.random.default_rng(seed).uniform(20, 590, 40))
        blamed += judged(dip(drive(), times.tolist())).answer is Answer.BROKEN
    assert blamed == 0


def test_two_dips_are_too_few_to_stop_for():
    assert judged(dip(drive(), BENDS[:2])).answer is Answer.TOO_LITTLE


def test_a_car_that_never_corners_proves_nothing():
    channels = drive()
    channels["acceleration_lateral"] *= 0.1
    found = judged(channels)
    assert found.answer is Answer.TOO_LITTLE
    assert "hardly cornered" in found.said.read(Preferences())


@pytest.mark.parametrize(("every", "caught"), [(10, "1 in 2"), (60, "1 in 10")])
def test_a_slow_log_says_how_many_dips_it_would_catch(every, caught):
    # A dip of 0.3 s meets one of the readings every 0.5 s or 3 s with chance 0.6 or 0.1.
    channels = {name: values[::every] for name, values in drive().items()}
    found = judged(channels, every * STEP)
    assert found.answer is Answer.TOO_LITTLE
    assert caught in found.said.read(Preferences())


def test_a_gauge_read_seldom_in_a_fast_log_is_a_slow_gauge():
    channels = drive()
    fresh = np.zeros(len(channels["engine_speed"]), dtype=bool)
    fresh[::20] = True  # once a second
    found = judged(channels, fresh={"oil_pressure": fresh})
    assert found.answer is Answer.TOO_LITTLE
    assert "read every 1 s" in found.said.read(Preferences())


def test_road_speed_alone_tells_braking_only_and_says_so():
    channels = drive()
    del channels["acceleration_lateral"]
    time = np.arange(len(channels["engine_speed"])) * STEP
    braking = np.any([(time >= at) & (time < at + 2) for at in BEND_AT], axis=0)  # at 5 m/s²
    rate = np.where(braking, -5.0, 10 * len(BEND_AT) / (600 - 2 * len(BEND_AT)))
    channels["road_speed"] = 40 + np.cumsum(rate) * STEP
    stops = (BEND_AT[::3] + 1.0)[:12].tolist()
    found = judged(dip(channels, stops))
    assert found.answer is Answer.BROKEN
    said = found.said.read(Preferences())
    assert "Corners are not judged" in said
    assert "Braking told by road speed" in said
    assert [e.span.start for e in found.events] == pytest.approx(stops, abs=1e-6)


def test_without_acceleration_and_road_speed_it_is_not_shown():
    channels = drive()
    del channels["acceleration_lateral"]
    found = judged(channels)
    assert found.answer is Answer.NOT_SHOWN
    assert not found.required
