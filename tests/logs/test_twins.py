"""One drive taken by two loggers is found, and another drive is not taken for it."""

import numpy as np
import pytest

from tests.made import make_log
from witnessmark.errors import UserError
from witnessmark.logs.twins import Likeness, Trace, compare, refuse_twin, trace

WHEN = np.arange(0, 900, 0.1)


def driven(seed: int) -> np.ndarray:
    """Fifteen minutes of pulls, gear changes and idling at random; rev/s, ten a second."""
    rng = np.random.default_rng(seed)
    legs = rng.uniform(4, 25, 120).cumsum()
    heights = np.where(rng.random(120) < 0.25, 14.0, rng.uniform(18, 70, 120))
    return np.interp(WHEN, legs, heights)


FIRST, OTHER = driven(1), driven(2)


def logged(speed, start=0.0, end=900.0, rate=10.0, step=0.0, noise=0.0, scale=1.0):
    """What a logger makes of it that was switched on `start` s into the drive."""
    time = np.arange(start, end, 1 / rate)
    read = np.interp(time, WHEN, speed) * scale
    read = read + np.random.default_rng(7).normal(0, noise, time.size) if noise else read
    read = np.round(read / step) * step if step else read
    return make_log({"engine_speed": read}, 1 / rate)


@pytest.mark.parametrize(
    "how",
    [
        {},
        {"rate": 1.0},
        {"rate": 0.5, "start": 61.0},
        {"rate": 4.0, "start": 137.4, "end": 700},
        {"rate": 25.0, "end": 500, "scale": 1.02},  # the dashboard's tachometer reads 2 % high
        {"rate": 2.0, "start": 30.25, "step": 100 / 60, "noise": 40 / 60},
    ],
)
def test_the_same_drive_is_found_with_its_lag(how):
    found = compare(trace(logged(FIRST)), trace(logged(FIRST, **how)))
    assert found.likeness is Likeness.SAME
    # Half a second: a logger of one or two a second says no more about when.
    assert found.lag == pytest.approx(how.get("start", 0.0), abs=0.5)
    other_way = compare(trace(logged(FIRST, **how)), trace(logged(FIRST)))
    assert other_way.lag == pytest.approx(-found.lag, abs=0.5)


def test_another_drive_is_not():
    found = compare(trace(logged(FIRST)), trace(logged(OTHER)))
    assert found.likeness is Likeness.OTHER
    assert found.difference > 0.5 * found.spread


def test_two_halves_of_one_drive_are_two():
    both = [logged(FIRST, end=450), logged(FIRST, start=450)]
    assert compare(*map(trace, both)).likeness is Likeness.OTHER


def test_an_idle_cannot_be_told():
    idle = [logged(14 + np.random.default_rng(s).normal(0, 0.2, WHEN.size)) for s in (1, 2)]
    assert compare(*map(trace, idle)).likeness is Likeness.CANNOT_TELL


def test_what_is_hardly_shown_cannot_be_told():
    assert compare(trace(logged(FIRST)), Trace(np.full(900, np.nan))).likeness is (
        Likeness.CANNOT_TELL
    )
    short = trace(logged(FIRST, end=30))
    assert compare(trace(logged(FIRST)), short).likeness is Likeness.CANNOT_TELL
    assert compare(Trace(np.empty(0)), short).likeness is Likeness.CANNOT_TELL


def test_a_hole_in_the_recording_is_no_difference():
    holed = trace(logged(FIRST)).speed.copy()
    holed[200:400] = np.nan
    found = compare(trace(logged(FIRST)), Trace(holed))
    assert (found.likeness, found.lag) == (Likeness.SAME, pytest.approx(0, abs=0.1))
    assert found.overlap == pytest.approx(700, abs=2)


def three_minutes(seed: int, every: float) -> Trace:
    """A short drive, its speed led to a new aim so often (seconds)."""
    aims = np.random.default_rng(seed).uniform(16, 65, int(180 / every) + 3)
    return Trace(np.interp(np.arange(180.0), np.arange(len(aims)) * every, aims))


@pytest.mark.parametrize("every", [7.0, 70.0])
def test_short_drives_that_happen_to_fit_are_not_taken_for_one(every):
    # 300 pairs, each slid to wherever it fits best: by level alone some fit well.
    drives = [three_minutes(seed, every) for seed in range(25)]
    found = [compare(a, b).likeness for i, a in enumerate(drives) for b in drives[:i]]
    assert Likeness.SAME not in found


def test_a_short_drive_taken_twice_is_one():
    first = three_minutes(1, 7.0)
    again = Trace(np.round(first.speed[30:] / 0.8) * 0.8)
    found = compare(first, again)
    assert (found.likeness, found.lag) == (Likeness.SAME, pytest.approx(30, abs=0.2))


def test_a_trace_is_the_mean_of_each_second():
    log = make_log({"engine_speed": np.arange(16.0)}, 0.25)
    assert trace(log).speed == pytest.approx([1.5, 5.5, 9.5, 13.5])


def test_the_same_bytes_are_refused():
    log = logged(FIRST)
    with pytest.raises(UserError, match="it is the same log as"):
        refuse_twin(log, [log])
