import numpy as np
import pytest

from tests.made import KPA, RPM, celsius, make_case, make_log
from witnessmark.checks.driving.pulls import load_pulls, overrun_pulls
from witnessmark.checks.driving.work import (
    hold_time,
    load_variety,
    running_time,
    share_under_load,
    time_on_the_move,
)
from witnessmark.model.finding import Answer
from witnessmark.units import Kind, Preferences


def evidence(name, text, kind=Kind.COUNT):
    return [(name, text, kind)]


def saw(times: int, up: float = 5.0, down: float = 5.0, low=2000.0, high=3500.0):
    """Pulls up under load and down on a shut throttle, with road speed in one gear."""
    rise, fall = np.linspace(low, high, int(up * 10)), np.linspace(high, low, int(down * 10))
    speed = np.tile(np.r_[rise, fall], times)
    load = np.tile(np.r_[np.full(len(rise), 92.0), np.full(len(fall), 28.0)], times)
    return {
        "engine_speed": speed * RPM,
        "manifold_pressure": load * KPA,
        "road_speed": speed * 0.008,
        "coolant_temperature": celsius(np.full(len(speed), 88.0)),
    }


@pytest.mark.parametrize("times", [5, 6])
def test_pulls_and_engine_braking_are_counted_one_by_one(times):
    wanted = evidence("pulls", "6") + evidence("overrun_pulls", "6")
    built = make_case(make_log(saw(times)), evidence=wanted)
    answer = Answer.KEPT if times >= 6 else Answer.TOO_LITTLE
    for check in (load_pulls, overrun_pulls):
        (found,) = check(built)
        assert len(found.events) == times
        assert found.answer is answer


def test_what_is_missing_is_said_as_what_to_drive_next():
    (found,) = overrun_pulls(make_case(make_log(saw(2)), evidence=evidence("overrun_pulls", "6")))
    assert found.do_next.read(Preferences()).startswith("Drive 4 more")


def test_a_cold_pull_does_not_count():
    channels = saw(6) | {"coolant_temperature": celsius(np.full(600, 40.0))}
    (found,) = load_pulls(make_case(make_log(channels), evidence=evidence("pulls", "6")))
    assert len(found.events) == 0


@pytest.mark.parametrize(("down", "low"), [(1.5, 2000.0), (5.0, 3100.0)])
def test_too_short_or_too_small_overruns_are_told_but_not_counted(down, low):
    log = make_log(saw(6, down=down, low=low))
    (found,) = overrun_pulls(make_case(log, evidence=evidence("overrun_pulls", "6")))
    assert len(found.events) == 0
    assert "6 more were too short, too small or out of gear" in found.said.read(Preferences())


def test_a_clutch_in_drop_is_no_engine_braking():
    channels = saw(6)
    channels["road_speed"] = np.full(600, 20.0)  # the car rolls on while the engine drops
    (found,) = overrun_pulls(make_case(make_log(channels), evidence=evidence("overrun_pulls", "6")))
    assert len(found.events) == 0


def test_lifting_off_and_then_dropping_the_clutch_counts_only_the_part_in_gear():
    # Six times: 4 s in gear from 3,500 to 2,900 rpm, then the clutch and down to idle at once.
    fall = np.r_[np.linspace(3500, 2900, 40), np.full(40, 950.0)]
    rise = np.linspace(2000, 3500, 50)
    speed = np.tile(np.r_[rise, fall], 6)
    road = np.tile(np.r_[rise, np.linspace(3500, 2600, 80)], 6) * 0.008
    load = np.tile(np.r_[np.full(50, 92.0), np.full(80, 28.0)], 6)
    channels = {"engine_speed": speed * RPM, "manifold_pressure": load * KPA, "road_speed": road}
    (found,) = overrun_pulls(make_case(make_log(channels), evidence=evidence("overrun_pulls", "6")))
    assert len(found.events) == 6
    assert found.events[0].said.read(Preferences()).startswith("600 rpm in 4 s")


def test_an_upshift_on_a_shut_throttle_is_no_engine_braking():
    # As a slow logger shows it: 2,360 rpm at 43 km/h, then 1,630 rpm in the next gear, held.
    speed = np.r_[np.full(20, 2360.0), np.full(40, 1630.0), np.full(40, 915.0)]
    road = np.r_[np.full(60, 43 / 3.6), np.linspace(43, 10, 40) / 3.6]
    log = make_log({"engine_speed": speed * RPM, "road_speed": road,
                    "pedal_position": np.r_[np.full(10, 0.3), np.full(90, 0.0)]})  # fmt: skip
    (found,) = overrun_pulls(make_case(log, evidence=evidence("overrun_pulls", "1")))
    assert len(found.events) == 0


def test_going_down_the_gears_on_a_shut_throttle_counts_each_gear():
    speed = np.r_[np.linspace(3000, 2000, 40), np.linspace(2900, 2000, 40)]
    road = np.r_[np.linspace(30, 20, 40), np.linspace(20, 13.8, 40)]
    log = make_log({"engine_speed": speed * RPM, "manifold_pressure": 25 * KPA, "road_speed": road})
    (found,) = overrun_pulls(make_case(log, evidence=evidence("overrun_pulls", "2")))
    assert len(found.events) == 2


def test_without_road_speed_the_clutch_is_seen_in_a_drop_to_idle():
    speed = np.r_[np.full(20, 1800.0), np.full(100, 920.0), np.full(20, 880.0)]
    log = make_log({"engine_speed": speed * RPM, "manifold_pressure": 25 * KPA})
    (found,) = overrun_pulls(make_case(log, evidence=evidence("overrun_pulls", "1")))
    assert len(found.events) == 0


def test_without_road_speed_a_fast_drop_is_taken_for_the_clutch():
    channels = saw(6, down=2.1, high=4000.0)  # 2,000 rpm in 2.1 s
    del channels["road_speed"]
    (found,) = overrun_pulls(make_case(make_log(channels), evidence=evidence("overrun_pulls", "6")))
    assert len(found.events) == 0


def test_engine_braking_cannot_be_seen_without_throttle_or_manifold_pressure():
    channels = saw(6)
    del channels["manifold_pressure"]
    (found,) = overrun_pulls(make_case(make_log(channels), evidence=evidence("overrun_pulls", "6")))
    assert found.answer is Answer.NOT_SHOWN


def test_load_map_puts_every_second_of_driving_in_its_cell():
    built = make_case(make_log(saw(6)))
    spread = built.load_map
    assert spread.seconds.sum() == pytest.approx(60.0)
    # 92 kPa falls in the cell 90..105, 28 kPa in 15..30: two rows only are used.
    assert list(spread.load_edges[:-1][spread.seconds.sum(axis=0) > 0] / KPA) == [15.0, 90.0]


def test_a_reading_on_the_edge_belongs_to_the_upper_cell():
    channels = {"engine_speed": np.r_[np.full(50, 2000.0), np.full(50, 2499.0)] * RPM,
                "manifold_pressure": np.r_[np.full(50, 30.0), np.full(50, 44.0)] * KPA}  # fmt: skip
    spread = make_case(make_log(channels)).load_map
    assert spread.seconds.shape == (1, 1)
    assert spread.speed_edges / RPM == pytest.approx([2000, 2500])


def test_variety_says_what_to_drive_next():
    log = make_log({"engine_speed": np.linspace(1300, 2000, 600) * RPM,
                    "manifold_pressure": np.linspace(30, 90, 600) * KPA})  # fmt: skip
    ceilings = [("engine_speed", "4000 rpm", Kind.ROTATIONAL_SPEED)]
    (found,) = load_variety(make_case(log, ceilings, evidence("load_cells", "30")))
    assert found.answer is Answer.TOO_LITTLE
    said = found.do_next.read(Preferences())
    assert said.startswith("Still missing: (1) ")
    assert "(3) " in said
    assert "(4) " not in said


def graded(down, low, pressure=28.0, times=3):
    channels = saw(times, down=down, low=low)
    channels["manifold_pressure"][channels["manifold_pressure"] < 50 * KPA] = pressure * KPA
    (found,) = overrun_pulls(make_case(make_log(channels), evidence=evidence("overrun_pulls", "3")))
    return found


@pytest.mark.parametrize(
    ("low", "pressure", "said"),
    [
        (2000.0, 28.0, "3 full, 0 part"),  # 1,500 rpm in 5 s into 28 kPa
        (2700.0, 28.0, "0 full, 3 part"),  # 800 rpm only
        (2000.0, 45.0, "0 full, 0 part"),  # 45 kPa is no shut throttle by vacuum alone
    ],
)
def test_overruns_are_graded_by_how_far_and_how_deep(low, pressure, said):
    assert said in graded(5.0, low, pressure).said.read(Preferences())


def test_a_pull_that_never_reached_deep_vacuum_is_part():
    channels = saw(3) | {"pedal_position": np.tile(np.r_[np.full(50, 0.4), np.zeros(50)], 3)}
    channels["manifold_pressure"][channels["manifold_pressure"] < 50 * KPA] = 45 * KPA
    (found,) = overrun_pulls(make_case(make_log(channels), evidence=evidence("overrun_pulls", "3")))
    assert "0 full, 3 part" in found.said.read(Preferences())
    assert found.events[0].said.read(Preferences()).endswith(": part")


def test_engine_braking_is_held_against_the_pulls_under_load():
    # Three up, and a fourth up without a way down: 3 / 4.
    one, up = saw(3), {k: v[:50] for k, v in saw(1).items()}
    stop = {k: np.full(20, v[0]) for k, v in one.items()}
    stop |= {"engine_speed": np.full(20, 15.0), "road_speed": np.zeros(20)}
    stop["manifold_pressure"] = np.full(20, 36 * KPA)
    channels = {k: np.r_[v, up[k], stop[k]] for k, v in one.items()}
    (found,) = overrun_pulls(make_case(make_log(channels), evidence=evidence("overrun_pulls", "3")))
    assert "0.75 for each pull under load, 0.70 is the aim" in found.said.read(Preferences())


def test_a_pull_says_its_gear_by_its_ratio_where_no_sheet_names_it():
    (found,) = load_pulls(make_case(make_log(saw(6)), evidence=evidence("pulls", "6")))
    # The made car turns 1/0.008 rpm for each m/s: 1,736 rpm at 50 km/h.
    assert "in the gear of 1,736 rpm at 50 km/h" in found.events[0].said.read(Preferences())


def test_share_under_load_counts_moving_time_only():
    channels = saw(6)
    standing = {k: np.r_[v, np.full(600, v[-1])] for k, v in channels.items()}
    standing["road_speed"][600:] = 0.0
    (found,) = share_under_load(
        make_case(make_log(standing), evidence=evidence("loaded_share", "45 %", Kind.FRACTION))
    )
    assert found.answer is Answer.KEPT
    assert found.said.read(Preferences()).startswith("50 %")


@pytest.mark.parametrize(("wanted", "answer"), [("59 s", Answer.KEPT), ("61 s", Answer.TOO_LITTLE)])
def test_time_on_the_move(wanted, answer):
    built = make_case(make_log(saw(6)), evidence=evidence("moving_time", wanted, Kind.DURATION))
    (found,) = time_on_the_move(built)
    assert found.answer is answer


def test_variety_within_a_minute_tells_a_changing_drive_from_two_long_spells():
    # Both logs use the same two cells for the same time; only one changes within the minute.
    pressure = 60 * KPA
    changing = np.tile(np.r_[np.full(50, 2100.0), np.full(50, 2600.0)], 24)
    spells = np.sort(changing)
    by_minute = [
        make_case(make_log({"engine_speed": s * RPM, "manifold_pressure": pressure})).load_map
        for s in (changing, spells)
    ]
    assert by_minute[0].effective == pytest.approx(by_minute[1].effective)
    assert by_minute[0].per_minute == pytest.approx(2.0)
    assert by_minute[1].per_minute == pytest.approx(1.0)


def held(minutes: float, at: float, rest: float = 5.0):
    n = int(minutes * 600)
    return np.r_[np.full(n, at), np.full(int(rest * 600), 0.0), np.full(n, at)]


@pytest.mark.parametrize(
    ("at", "answer"), [(2000, Answer.KEPT), (2140, Answer.KEPT), (2200, Answer.TOO_LITTLE)]
)
def test_hold_time_adds_up_over_a_stop_and_only_near_the_speed(at, answer):
    log = make_log({"engine_speed": held(2.1, at) * RPM})
    built = make_case(log, evidence=evidence("hold_time", "4 min", Kind.DURATION), hold="2000 rpm")
    (found,) = hold_time(built)
    assert found.answer is answer


def test_running_time_leaves_the_stop_out():
    built = make_case(
        make_log({"engine_speed": held(2.1, 2000) * RPM}),
        evidence=evidence("running_time", "5 min", Kind.DURATION),
    )
    (found,) = running_time(built)
    assert found.said.read(Preferences()).startswith("4 min 12 s running")
    assert found.answer is Answer.TOO_LITTLE
