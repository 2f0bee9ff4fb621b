"""Which questions a log answers, and what is taken back of a "kept"."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.checks.signals.signals import drive, log_with
from tests.made import KPA, celsius, make_case
from witnessmark.checks.ceilings import boost_ceiling, coolant_ceiling, speed_ceiling
from witnessmark.checks.signals.believe import believed, weighed
from witnessmark.checks.signals.questions import LOAD, answers, odds, questions
from witnessmark.checks.signals.truth import truth_of
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.finding import Answer
from witnessmark.model.signal import Shown
from witnessmark.units import Kind, Preferences

ROOT = Path(__file__).parents[3]
CEILINGS = [
    ("engine_speed", "4000 rpm", Kind.ROTATIONAL_SPEED), ("boost", "0 kPa", Kind.PRESSURE),
    ("coolant_temperature", "105 °C", Kind.TEMPERATURE),
]  # fmt: skip


def asked(log):
    return {a.id: a for a in answers(make_case(log))}


def judged(log, check):
    truth = truth_of(log)
    case = make_case(believed(log, truth), CEILINGS)
    case = replace(case, given=truth)
    return weighed(check(case), answers(case))[0]


def test_questions_name_channels_we_know_and_checks_that_are_documented():
    page = (ROOT / "docs" / "reference" / "checks.md").read_text()
    for question in questions():
        for need in question.needs:
            assert need.any == (LOAD,) or set(need.any) <= set(vocabulary().entries)
            assert need.brief / need.readings <= need.slowest
        assert [c for c in question.checks if f"`{c}`" not in page] == []
    checks = [c for q in questions() for c in q.checks]
    assert len(checks) == len(set(checks))


@pytest.mark.parametrize(
    ("step", "dips", "speed", "coolant"),
    [
        # Common practice: 20 to 25 Hz for dips, 10 Hz for ceilings, 1 Hz for temperatures.
        (0.04, Shown.YES, Shown.YES, Shown.YES),
        (0.1, Shown.PARTLY, Shown.YES, Shown.YES),
        (0.5, Shown.PARTLY, Shown.PARTLY, Shown.YES),
        (1.0, Shown.NO, Shown.PARTLY, Shown.YES),
        (30.0, Shown.NO, Shown.NO, Shown.NO),
    ],
)
def test_rates_decide_as_the_trade_has_it(step, dips, speed, coolant):
    found = asked(log_with(step, seconds=3000 if step > 1 else 120))
    assert (found["oil-dips"].shown, found["speed"].shown) == (dips, speed)
    assert found["coolant"].shown is coolant


@pytest.mark.parametrize("step", [0.25, 0.5, 0.6])
def test_the_chance_to_catch_a_dip_is_its_length_over_the_interval(step):
    # By trying: dips of 0.2 s at any moment, and whether a reading falls into them.
    chance = asked(log_with(step, seconds=300))["oil-dips"].chance
    starts = np.random.default_rng(4).uniform(0, 1000, 40_000)
    caught = np.ceil(starts / step) * step < starts + 0.2
    # Three standard deviations of so many trials.
    assert_allclose(chance, caught.mean(), atol=3 * 0.5 / 200)


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.2, "1 in 5"), (0.4, "2 in 5"), (1 / 3, "1 in 3"), (0.05, "1 in 20"), (0.001, "hardly any"),
     (0.99, "nearly all")],
)  # fmt: skip
def test_odds_in_words(chance, words):
    assert odds(chance) == words


def test_missing_channels_and_missing_stretches_are_a_no():
    found = asked(log_with())
    assert found["knock"].shown is Shown.NO and found["knock"].lacks == "knock retard"
    assert found["oil-start"].shown is Shown.NO and not found["oil-start"].bars
    warm = asked(log_with(coolant_temperature=celsius(np.full(1200, 88.0))))
    assert found["warm-up"].shown is Shown.YES and warm["warm-up"].shown is Shown.NO


def test_a_kept_ceiling_stays_kept_on_a_sound_log_with_what_it_would_catch():
    quick, slow = (judged(log_with(step), speed_ceiling) for step in (0.05, 1.0))
    assert quick.answer is slow.answer is Answer.KEPT
    assert "1 in 5 over-speeds of 0.2 s" in slow.said.read(Preferences())
    assert "catches" not in quick.said.read(Preferences())


def test_too_slow_a_log_does_not_say_kept():
    found = judged(log_with(5.0, seconds=3000), speed_ceiling)
    assert found.answer is Answer.TOO_LITTLE
    assert "Too slow" in found.said.read(Preferences())


def test_a_stuck_manifold_does_not_keep_the_boost_ceiling():
    values = np.full(1200, 73.0 * KPA)
    values[:50] = drive()["manifold_pressure"][:50]
    found = judged(log_with(manifold_pressure=values), boost_ceiling)
    assert found.answer is Answer.TOO_LITTLE
    assert re.search(r"Manifold pressure, 9\d % of the log\. Stands still at 73 kPa abs",
                     found.said.read(Preferences()))  # fmt: skip


def test_a_clipped_manifold_does_not_keep_the_boost_ceiling():
    # It swings to 120 kPa and the sensor ends at 88.
    swing = np.round(80 + 40 * np.sin(np.arange(1200) * 0.3)) * KPA
    found = judged(log_with(manifold_pressure=np.minimum(swing, 88 * KPA)), boost_ceiling)
    assert found.answer is Answer.TOO_LITTLE
    assert "Cut off at 88 kPa abs" in found.said.read(Preferences())
    assert judged(log_with(manifold_pressure=swing), boost_ceiling).answer is Answer.BROKEN


@pytest.mark.parametrize(("top", "answer"), [(100, Answer.TOO_LITTLE), (80, Answer.KEPT)])
def test_ten_kilopascals_a_step_cannot_decide_a_ceiling_that_near(top, answer):
    swing = top - 40 + 40 * np.sin(np.arange(1200) * 0.3)
    found = judged(log_with(manifold_pressure=np.round(swing / 10) * 10 * KPA), boost_ceiling)
    assert found.answer is answer
    assert "steps of 10 kPa, which cannot decide 3 kPa" in found.said.read(Preferences())


def test_what_was_broken_stays_broken():
    hot = drive()["coolant_temperature"]
    hot[600:900] = celsius(109.0)
    assert judged(log_with(coolant_temperature=hot), coolant_ceiling).answer is Answer.BROKEN


def test_a_dropped_out_coolant_is_a_gap_and_oil_pressure_never_is():
    values, pressure = drive()["coolant_temperature"], drive()["oil_pressure"]
    values[300:320], pressure[300:320] = 233.65, 0.0
    log = log_with(coolant_temperature=values, oil_pressure=pressure)
    seen = believed(log, truth_of(log))
    assert np.isnan(seen["coolant_temperature"][300:320]).all()
    assert np.isnan(seen["coolant_temperature"]).sum() == 20
    assert seen["oil_pressure"][310] == 0.0
