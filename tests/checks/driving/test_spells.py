import numpy as np
import pytest

from tests.made import KPA, RPM, make_case, make_log
from witnessmark.checks.driving.spells import idle_spell, lugging, steady_cruise
from witnessmark.model.finding import Answer
from witnessmark.units import Kind, Preferences

STEADY = ("steady_cruise", "60 s", Kind.DURATION)
IDLE = ("idle_spell", "120 s", Kind.DURATION)
LUG = ("lugging", "2 s", Kind.DURATION)


def restless(n: int):
    """Speed that swings 1,000 rpm every 20 s: never steady for long at 10 samples a second."""
    return 2500 + 500 * np.sin(np.arange(n) * 2 * np.pi / 200)


def test_a_steady_spell_is_found_to_the_second():
    speed = restless(3000)
    speed[1000:1900] = 2500 + 90 * np.sin(np.arange(900))
    (found,) = steady_cruise(make_case(make_log({"engine_speed": speed * RPM}), [STEADY]))
    assert found.answer is Answer.BROKEN
    (event,) = found.events
    # The swing passes the band slowly at both ends: up to 2.6 s there reads as steady too.
    assert event.span.length == pytest.approx(90, abs=4)
    assert event.span.start == pytest.approx(100, abs=3)


def test_a_steady_speed_under_changing_load_is_no_steady_cruise():
    log = make_log({
        "engine_speed": np.full(3000, 2500.0) * RPM,
        "manifold_pressure": (55 + 25 * np.sin(np.arange(3000) / 40)) * KPA,
    })  # fmt: skip
    (found,) = steady_cruise(make_case(log, [STEADY]))
    assert found.answer is Answer.KEPT


def test_standing_still_is_neither_cruising_nor_a_drive_without_it():
    log = make_log({"engine_speed": np.full(3000, 2500.0) * RPM, "road_speed": 0.0})
    (found,) = steady_cruise(make_case(log, [STEADY]))
    assert found.answer is Answer.TOO_LITTLE


@pytest.mark.parametrize("step", [0.1, 1.0, 4.0])
def test_a_slow_logger_gives_the_same_length(step):
    n = int(300 / step)
    (found,) = steady_cruise(
        make_case(make_log({"engine_speed": np.full(n, 2500.0) * RPM}, step), [STEADY])
    )
    # The last step of the window may be filled in part only: at most 4 s of 300.
    assert found.events[0].span.length == pytest.approx(300, abs=4)


@pytest.mark.parametrize(("length", "answer"), [(119, Answer.KEPT), (121, Answer.BROKEN)])
def test_idle_is_measured_against_its_ceiling(length, answer):
    speed = np.r_[np.full(100, 2500.0), np.full(length * 10, 900.0), np.full(100, 2500.0)]
    (found,) = idle_spell(make_case(make_log({"engine_speed": speed * RPM}), [IDLE]))
    assert found.answer is answer


def test_lugging_needs_both_low_speed_and_high_load():
    pressure = np.full(300, 40.0)
    pressure[100:150] = 95
    for speed, answer in ((1500, Answer.BROKEN), (2200, Answer.KEPT)):
        log = make_log(
            {"engine_speed": np.full(300, speed) * RPM, "manifold_pressure": pressure * KPA}
        )
        (found,) = lugging(make_case(log, [LUG]))
        assert found.answer is answer


def test_lugging_is_not_shown_without_load():
    (found,) = lugging(make_case(make_log({"engine_speed": np.full(300, 25.0)}), [LUG]))
    assert found.answer is Answer.NOT_SHOWN


@pytest.mark.parametrize("gap", ["engine_speed", "road_speed", "manifold_pressure"])
@pytest.mark.parametrize(("check", "limit"), [(steady_cruise, STEADY), (lugging, LUG)])
def test_a_channel_with_gaps_cannot_prove_that_nothing_lasted_too_long(check, limit, gap):
    n = 3000
    channels = {
        "engine_speed": restless(n) * RPM,
        "road_speed": np.full(n, 20.0),
        "manifold_pressure": (55 + 20 * np.sin(np.arange(n) / 40)) * KPA,
    }
    channels[gap][n // 2 :] = np.nan
    (found,) = check(make_case(make_log(channels), [limit]))
    kept_without = check is lugging and gap == "road_speed"  # lugging does not look at it
    assert found.answer is (Answer.KEPT if kept_without else Answer.TOO_LITTLE)


def test_spells_are_listed_with_their_speed_and_only_the_long_ones_broke_the_ceiling():
    speed = restless(6000)
    speed[1000:1900], speed[3000:3300] = 2500, 2100  # 90 s and 30 s
    (found,) = steady_cruise(make_case(make_log({"engine_speed": speed * RPM}), [STEADY]))
    said = found.said.read(Preferences())
    assert "2 spells of 20 s or more" in said
    assert [e.broke for e in found.events] == [True, False]
    assert [e.said.read(Preferences()) for e in found.events] == [
        "steady near 2,500 rpm", "steady near 2,100 rpm",
    ]  # fmt: skip
