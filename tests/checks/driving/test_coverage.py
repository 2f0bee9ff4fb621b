"""What a phase can reach, what was covered, and what to drive next."""

import re
from dataclasses import replace

import numpy as np
import pytest

from tests.made import KPA, RPM, celsius, limit, make_case, make_log
from witnessmark.checks.driving.coverage import Coverage
from witnessmark.checks.driving.drive_next import drive_next
from witnessmark.checks.driving.work import load_variety
from witnessmark.model.plan import EngineFacts
from witnessmark.units import Kind, Preferences, parse

SPEED = [("engine_speed", "4000 rpm", Kind.ROTATIONAL_SPEED)]
BOOST = [("boost", "0 kPa", Kind.PRESSURE)]
WANTED = [("load_cells", "8", Kind.COUNT)]


def held(states, each=3.0, step=0.1, **more):
    """A log that stays in each (rpm, kPa) for so many seconds, with air to breathe at key-on."""
    n = round(each / step)
    speed, load = (np.repeat([s[k] for s in states], n).astype(float) for k in (0, 1))
    channels = {
        "engine_speed": np.r_[np.zeros(5), speed] * RPM,
        "manifold_pressure": np.r_[np.full(5, 100.0), load] * KPA,
        "coolant_temperature": celsius(np.full(len(speed) + 5, 88.0)),
        **{k: np.broadcast_to(v, len(speed) + 5) for k, v in more.items()},
    }
    return make_log(channels, step)


def case_of(states, ceilings=(*SPEED, *BOOST), **more):
    return make_case(held(states, **more), ceilings, WANTED)


ALL = [(rpm, kpa) for rpm in range(1750, 4000, 500) for kpa in (50, 65, 80, 95)] + [(1300, 50)]


def test_what_can_be_reached_is_the_stated_rule_by_hand():
    # Idle ends at 1,200, ceiling 4,000: middles 1,250 to 3,750, six columns. Overrun under 40 kPa,
    # air 100 kPa: middles 52.5 to 97.5, four rows. Lugging: under 1,800 rpm cells that reach over
    # 85 kPa, two rows of the columns that begin at 1,000 and 1,500.
    cover = case_of([(2250, 50)]).coverage
    assert cover.speed_edges / RPM == pytest.approx(np.arange(1000, 4001, 500))
    assert cover.load_edges / KPA == pytest.approx([45, 60, 75, 90, 105])
    assert int(cover.reachable.sum()) == 6 * 4 - 2 * 2
    assert not cover.reachable[:2, 2:].any()


def test_boost_that_is_allowed_is_reached_for():
    cover = case_of([(2250, 50)], (*SPEED, ("boost", "40 kPa", Kind.PRESSURE))).coverage
    assert cover.top / KPA == pytest.approx(140)
    assert cover.load_edges[-1] / KPA == pytest.approx(135)  # the middle of the next lies over it


def test_time_covers_a_cell_and_a_moment_does_not():
    built = case_of([(2250, 50), (2750, 65)])
    log = replace(built.log, held=np.where(np.arange(65) >= 35, 0.05, 0.1))  # 3 s and 1.5 s
    cover = replace(built, log=log).coverage
    assert int(cover.covered.sum()) == 1
    assert cover.share == pytest.approx(1 / 20)
    assert cover.seconds.sum() == pytest.approx(4.5)


def test_everything_driven_is_covered_and_nothing_is_asked():
    states = [*ALL, (1250, 65)]
    built = case_of(states)
    assert built.coverage.share == 1.0
    (found,) = load_variety(built)
    assert "100 %" in found.said.read(Preferences())
    assert found.do_next is None
    assert drive_next(built.coverage, built.terms, built.load, built.gears, "") is None


def test_a_hole_in_the_map_is_said_as_a_drive_in_gear():
    # All but 2,500 to 3,000 rpm at 75 to 90 kPa; gears by the sheet: 75 turns a metre and so on.
    states = [s for s in [*ALL, (1250, 65)] if s != (2750, 80)]
    built = case_of(states)
    facts = EngineFacts(gears=(6.4, 3.8, 2.6, 1.9, 1.5))
    built = replace(built, terms=replace(built.terms, facts=facts))
    said = drive_next(built.coverage, built.terms, built.load, built.gears, "").read(Preferences())
    # 2,750 rpm is 110 km/h in fifth, 87 in fourth: the highest gear not over 90 km/h.
    assert said == (
        "2,500 rpm to 3,000 rpm at three quarter load (75 kPa abs to 90 kPa abs): a longer hill in "
        "fourth, about 87 km/h."
    )


def test_a_log_that_contradicts_the_sheet_speaks_of_its_own_gears():
    states = [(s, p) for s, p in ALL if s < 3700]
    road = np.r_[np.full(5, 0.0), np.repeat([s for s, _ in states], 30) * RPM / 3.0]
    built = case_of(states, road_speed=road)
    facts = EngineFacts(gears=(6.4, 3.8, 2.2, 1.9, 1.5))
    built = replace(built, terms=replace(built.terms, facts=facts))
    assert built.gears.used[0].name == ""
    said = drive_next(built.coverage, built.terms, built.load, built.gears, "").read(Preferences())
    assert "in the gear that gives about 75 km/h" in said


@pytest.mark.parametrize("ceiling", ["3300 rpm", "3600 rpm", "4000 rpm", "6100 rpm"])
@pytest.mark.parametrize("boost", ["0 kPa", "25 kPa"])
def test_no_suggestion_lies_over_a_ceiling(ceiling, boost):
    noise = np.random.default_rng(9)
    ceilings = [("engine_speed", ceiling, Kind.ROTATIONAL_SPEED), ("boost", boost, Kind.PRESSURE)]
    highest = parse(ceiling, Kind.ROTATIONAL_SPEED, "").value
    most = 100 * KPA + parse(boost, Kind.PRESSURE, "").value
    for _ in range(5):
        states = [(noise.uniform(1300, 3200), noise.uniform(42, 98)) for _ in range(12)]
        built = case_of(states, ceilings)
        said = drive_next(built.coverage, built.terms, built.load, built.gears, "")
        for name, value in said.values.items():
            if name.endswith(("slow", "fast")):
                assert value.value <= highest * (1 + 1e-12)
            if name.endswith(("light", "heavy")):
                assert value.value <= most * (1 + 1e-12)
        assert len(re.findall(r"\(\d\) ", said.text)) <= 3


def test_without_manifold_pressure_full_load_is_not_asked_while_boost_has_a_ceiling():
    n = 200
    channels = {"engine_speed": np.linspace(1300, 3900, n) * RPM,
                "engine_load": np.linspace(0.2, 0.6, n)}  # fmt: skip
    capped, free = (
        make_case(make_log(channels), ceilings, WANTED).coverage
        for ceilings in ((*SPEED, *BOOST), SPEED)
    )
    assert (capped.top, free.top) == (0.75, 1.0)


def test_a_phase_that_asks_for_no_variety_is_not_measured_by_it():
    assert make_case(held([(2250, 50)]), SPEED, ()).coverage is None


def test_coverage_of_nothing_reachable_is_no_share():
    empty = np.zeros((1, 1))
    edges = np.array([0.0, 1.0])
    none = Coverage(edges, edges, empty, empty > 0, 0.0, 1.0, 1.0, 2.0)
    assert none.share == 0.0
    assert limit("2 s", Kind.DURATION).value.value == none.counted
