import numpy as np
import pytest

from tests.made import KPA, RPM, celsius, make_case, make_log, make_table
from witnessmark.checks.ceilings import oil_pressure_ceiling
from witnessmark.checks.pressure.oil_pressure import pressure_at_start, pressure_floor, pressure_top
from witnessmark.checks.pressure.rule_of_thumb import floor_pressure
from witnessmark.model.finding import Answer
from witnessmark.units import Kind, Preferences


def started(pressure_after: float, pressure: float = 300.0):
    """Five seconds at rest, then running at 2,000 rpm with pressure coming after some seconds."""
    time = np.arange(600) * 0.1
    return {
        "engine_speed": np.where(time < 5, 0.0, 2000 * RPM),
        "oil_pressure": np.where(time < 5 + pressure_after, 0.0, pressure * KPA),
    }


def test_floor_is_flat_at_idle_rises_with_speed_and_is_flat_again():
    log = make_log({"engine_speed": np.array([800, 3000, 7000]) * RPM})
    # 70 kPa per 1,000 rpm, 100 kPa at idle, 350 kPa at most: the terms of the test.
    assert floor_pressure(make_case(log)) / KPA == pytest.approx([100, 210, 350])


@pytest.mark.parametrize(("after", "answer"), [(2.0, Answer.KEPT), (6.0, Answer.BROKEN)])
def test_pressure_has_to_come_within_the_delay(after, answer):
    (found,) = pressure_at_start(make_case(make_log(started(after))))
    assert found.answer is answer
    assert f"{after:.0f} s from start" in found.said.read(Preferences())


def test_pressure_that_never_comes_is_broken_for_the_whole_stretch():
    (found,) = pressure_at_start(make_case(make_log(started(1e9))))
    assert found.answer is Answer.BROKEN
    assert found.events[0].span.length == pytest.approx(55.0)


def test_a_log_that_begins_running_shows_no_start():
    log = make_log({"engine_speed": np.full(100, 30.0), "oil_pressure": 300 * KPA})
    (found,) = pressure_at_start(make_case(log))
    assert found.answer is Answer.NOT_SHOWN


def test_the_first_seconds_after_a_start_do_not_count_against_the_floor():
    (found,) = pressure_floor(make_case(make_log(started(4.0))))
    assert found.answer is Answer.KEPT


@pytest.mark.parametrize(("samples", "answer"), [(3, Answer.KEPT), (10, Answer.BROKEN)])
def test_a_dip_counts_when_it_outlasts_the_grace(samples, answer):
    channels = started(1.0)
    channels["oil_pressure"][300 : 300 + samples] = 120 * KPA
    (found,) = pressure_floor(make_case(make_log(channels)))
    assert found.answer is answer


def test_a_dip_says_pressure_speed_and_floor():
    channels = started(1.0)
    channels["oil_pressure"][300:320] = 120 * KPA
    (found,) = pressure_floor(make_case(make_log(channels)))
    said = found.events[0].said.read(Preferences())
    assert said == "120 kPa at 2,000 rpm where the floor is 140 kPa"


def test_a_slow_log_says_that_it_cannot_show_brief_dips():
    (found,) = pressure_floor(make_case(make_log(started(1.0))))
    assert "too slowly to show brief dips" in found.said.read(Preferences())


def test_missing_oil_pressure_is_not_shown_once():
    built = make_case(make_log({"engine_speed": np.full(100, 30.0)}))
    assert [f.answer for f in pressure_floor(built)] == [Answer.NOT_SHOWN]
    assert list(pressure_at_start(built)) == []


@pytest.mark.parametrize(("low", "answer"), [(np.nan, Answer.TOO_LITTLE), (0.0, Answer.BROKEN)])
def test_a_gauge_first_polled_late_accuses_nobody(low, answer):
    channels = started(12.0)
    channels["oil_pressure"][50:170] = low  # until 12 s after the start: silent, or reading zero
    (found,) = pressure_at_start(make_case(make_log(channels), needs=["oil_pressure"]))
    assert found.answer is answer


# Against the engine's own band. Its floor at 2,000 rpm (tests.made.pressure_at): 200 kPa on oil of
# 0 °C, 160 at 60, 120 at 120, 100 at 150; the rule of thumb asks 140 kPa there whatever the oil.


def steady(pressure, oil=60.0, speed=2000.0, seconds=60):
    channels = {
        "engine_speed": np.full(seconds * 10, speed * RPM),
        "oil_pressure": np.full(seconds * 10, pressure * KPA),
    }
    if oil is not None:
        channels["oil_temperature"] = np.full(seconds * 10, float(celsius(oil)))
    return channels


def floor(channels, band=None, **terms):
    (found,) = pressure_floor(make_case(make_log(channels), band=band or make_table(), **terms))
    return found, found.said.read(Preferences())


def top(channels, band=None):
    (found,) = pressure_top(make_case(make_log(channels), band=band or make_table()))
    return found, found.said.read(Preferences())


def test_a_sound_log_is_kept_with_the_rule_beside_for_comparison_only():
    found, said = floor(steady(230))
    assert found.answer is Answer.KEPT
    assert said.startswith("Never nearer than 70 kPa to the floor: 230 kPa at 2,000 rpm on oil of")
    assert "from the build sheet alone" in said
    assert "would ask 140 kPa there, for comparison only" in said
    assert found.do_next is None


@pytest.mark.parametrize(
    ("pressure", "oil", "answer"),
    [(150, 60, Answer.BROKEN), (130, 120, Answer.KEPT)],
    ids=["kept by the rule", "broken by the rule"],
)
def test_the_band_decides_and_not_the_rule(pressure, oil, answer):
    channels = steady(pressure, oil)
    assert floor(channels)[0].answer is answer
    (by_rule,) = pressure_floor(make_case(make_log(channels)))
    assert {answer, by_rule.answer} == {Answer.KEPT, Answer.BROKEN}


def test_a_held_fault_says_how_far_how_long_and_where():
    channels = steady(230)
    channels["oil_pressure"][300:350] = 100 * KPA
    found, said = floor(channels)
    assert found.answer is Answer.BROKEN
    assert said.startswith("60 kPa under the floor, 5 s in all: about 1 in 200 sound builds")
    (event,) = found.events
    told = event.said.read(Preferences())
    assert told == "100 kPa at 2,000 rpm on oil of 60 °C where the floor is 160 kPa"
    assert "mechanical gauge" in found.do_next.read(Preferences())


def test_a_brief_dip_is_told_and_does_not_count():
    channels = steady(230)
    channels["oil_pressure"][300:303] = 100 * KPA
    found, said = floor(channels)
    assert found.answer is Answer.KEPT
    assert said.startswith("Under the floor for less than 0.5 s only, too brief to count.")


def test_a_stab_at_the_throttle_is_no_lack_of_pressure():
    # 800 to 4,000 rpm at once; the gauge follows within a second, as the terms of the test allow.
    channels = steady(160, speed=800)
    channels["engine_speed"][300:] = 4000 * RPM
    channels["oil_pressure"][309:] = 300 * KPA
    assert floor(channels)[0].answer is Answer.KEPT
    channels["oil_pressure"][309:330] = 160 * KPA
    assert floor(channels)[0].answer is Answer.BROKEN
    # A calibration knows a slower sender: three lags of 1 s.
    assert floor(channels, make_table(lag=1.0))[0].answer is Answer.KEPT


def test_an_engine_that_warms_behind_its_thermometer_is_judged_at_both():
    # The thermometer says 100 °C at once, the engine is still at 20: floor there 187, top 467 kPa;
    # at 100 °C 133 and 333. Either may be true while the engine follows, three times 10 s.
    channels = steady(400, oil=20)
    channels["oil_temperature"][300:] = float(celsius(100))
    assert top(channels)[0].answer is Answer.BROKEN
    channels["oil_pressure"][590:] = 300 * KPA
    assert top(channels, make_table(soak=10.0))[0].answer is Answer.KEPT
    cooled = steady(150, oil=100)
    cooled["oil_temperature"][300:] = float(celsius(20))
    assert floor(cooled)[0].answer is Answer.BROKEN
    assert floor(cooled, make_table(soak=10.0))[0].answer is Answer.KEPT


def test_letting_go_is_no_excess_of_pressure():
    channels = steady(400, speed=4000)
    channels["engine_speed"][300:] = 800 * RPM
    channels["oil_pressure"][309:] = 160 * KPA
    assert top(channels)[0].answer is Answer.KEPT
    channels["oil_pressure"][309:330] = 400 * KPA
    assert top(channels)[0].answer is Answer.BROKEN


@pytest.mark.parametrize(
    ("pressure", "ceilings", "answer"),
    [
        (125, [("oil_temperature", "120 °C", Kind.TEMPERATURE)], Answer.KEPT),
        (115, [("oil_temperature", "120 °C", Kind.TEMPERATURE)], Answer.BROKEN),
        (115, [], Answer.KEPT),  # nothing bounds the oil: the band ends at 150 °C
    ],
)
def test_without_an_oil_temperature_the_hottest_oil_allowed_is_taken(pressure, ceilings, answer):
    found, said = floor(steady(pressure, oil=None), ceilings=ceilings)
    assert found.answer is answer
    assert "shows no oil temperature" in said
    assert ("to 120 °C" if ceilings else "to 150 °C") in said


def test_gaps_of_the_oil_temperature_are_judged_as_without_one():
    channels = steady(115, oil=30)
    assert floor(channels)[0].answer is Answer.BROKEN  # 180 kPa is the floor on oil of 30 °C
    channels["oil_temperature"][:] = np.nan
    found, said = floor(channels)
    assert found.answer is Answer.KEPT
    assert "gaps" in said


@pytest.mark.parametrize(
    ("oil", "speed", "why"),
    [(-10, 2000, "oil under 0 °C"), (155, 2000, "oil over 150 °C"),
     (60, 450, "speed under 500 rpm"), (60, 6500, "speed over 6,000 rpm")],
)  # fmt: skip
def test_where_nothing_is_foretold_nothing_is_judged_and_it_is_said(oil, speed, why):
    found, said = floor(steady(5, oil, speed))
    assert found.answer is Answer.TOO_LITTLE
    assert f"Not judged for 1 min: {why}, where nothing is foretold" in said
    found, _ = top(steady(900, oil, speed))
    assert found.answer is Answer.TOO_LITTLE


def test_long_under_what_95_of_100_show_is_kept_with_a_remark():
    # 5 % line at 60 °C: 192 kPa. The terms of the test: 10 s in all.
    found, said = floor(steady(180))
    assert found.answer is Answer.KEPT
    assert "Low for 1 min in all: 95 of 100 sound builds like this one show more." in said
    assert "second gauge" in found.do_next.read(Preferences())
    brief = steady(230)
    brief["oil_pressure"][300:380] = 180 * KPA
    assert "Low for" not in floor(brief)[1]


def test_over_the_top_line_is_broken_and_the_recipes_ceiling_stays_beside():
    # Top at 60 °C: 400 kPa.
    assert top(steady(390))[0].answer is Answer.KEPT
    found, said = top(steady(420))
    assert found.answer is Answer.BROKEN
    assert said.startswith("20 kPa over the top, 1 min in all")
    ceilings = [("oil_pressure", "350 kPa", Kind.PRESSURE)]
    case = make_case(make_log(steady(390)), ceilings, band=make_table())
    (high,) = oil_pressure_ceiling(case)
    assert high.answer is Answer.KEPT
    assert high.said.read(Preferences()).startswith(
        "Highest 390 kPa, over the 350 kPa that is a general ceiling. All of it inside this "
    )
    case = make_case(make_log(steady(420)), ceilings, band=make_table())
    (high,) = oil_pressure_ceiling(case)
    assert high.answer is Answer.BROKEN
    case = make_case(make_log(steady(390)), ceilings, no_band="The pump is not known.")
    (high,) = oil_pressure_ceiling(case)
    assert high.answer is Answer.BROKEN


def test_a_calibrated_band_is_named():
    _, said = floor(steady(230), make_table(basis="calibrated on 2 logs of this engine"))
    assert "Worked out for this engine, calibrated on 2 logs of this engine." in said


def test_without_a_band_the_rule_of_thumb_decides_and_says_why():
    case = make_case(make_log(steady(180)), no_band="The pump is not known.")
    (found,) = pressure_floor(case)
    said = found.said.read(Preferences())
    assert "a rule of thumb, not this engine's" in said
    assert "No pressure could be foretold for this build: The pump is not known." in said
    assert list(pressure_top(case)) == []


def test_missing_oil_pressure_is_not_shown_whatever_the_band():
    case = make_case(make_log({"engine_speed": np.full(100, 30.0)}), band=make_table())
    assert [f.answer for f in pressure_floor(case)] == [Answer.NOT_SHOWN]
    assert list(pressure_top(case)) == []


def test_a_gauge_with_gaps_proves_nothing_kept():
    channels = steady(230)
    channels["oil_pressure"][200:400] = np.nan
    found, said = floor(channels)
    assert found.answer is Answer.TOO_LITTLE
    assert said.startswith("Judged for 67 % of the running time only")
