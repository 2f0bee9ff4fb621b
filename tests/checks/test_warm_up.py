import numpy as np
import pytest

from tests.made import KPA, RPM, celsius, make_case, make_log
from witnessmark.checks.warm_up import coolant_warm_before_load, oil_warm_before_load
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences


def warming(loaded_from: int, loaded_to: int, n: int = 600):
    """A minute of warming from 20 to 90 °C, with load between two samples."""
    pressure = np.full(n, 35.0)
    pressure[loaded_from:loaded_to] = 95.0
    return {
        "engine_speed": np.full(n, 2000.0) * RPM,
        "manifold_pressure": pressure * KPA,
        "coolant_temperature": celsius(np.linspace(20, 90, n)),
    }


def test_load_after_warm_up_is_kept_and_says_at_what_temperature():
    (found,) = coolant_warm_before_load(make_case(make_log(warming(550, 590))))
    assert found.answer is Answer.KEPT
    assert "First worked at 84 °C; 75 °C was wanted" in found.said.read(Preferences())


def test_a_cold_blip_shorter_than_a_load_spell_does_not_count():
    (found,) = coolant_warm_before_load(make_case(make_log(warming(100, 115))))
    assert found.answer is Answer.KEPT
    assert "too brief to count" in found.said.read(Preferences())


def test_cold_load_is_broken_with_the_coldest_reading():
    (found,) = coolant_warm_before_load(make_case(make_log(warming(100, 140))))
    assert found.answer is Answer.BROKEN
    assert found.events[0].span.start == pytest.approx(10.0)
    assert found.events[0].span.length == pytest.approx(4.0)
    assert "32 °C" in found.said.read(Preferences())


def test_revs_alone_count_as_work():
    channels = warming(0, 0)
    channels["engine_speed"][100:140] = 3300 * RPM
    (found,) = coolant_warm_before_load(make_case(make_log(channels)))
    assert found.answer is Answer.BROKEN


def test_never_worked_is_too_little_not_kept():
    (found,) = coolant_warm_before_load(make_case(make_log(warming(0, 0))))
    assert found.answer is Answer.TOO_LITTLE


def test_without_load_only_engine_speed_is_judged_and_that_is_too_little():
    channels = warming(550, 590)
    del channels["manifold_pressure"]
    (found,) = coolant_warm_before_load(make_case(make_log(channels)))
    assert found.answer is Answer.TOO_LITTLE


def test_missing_oil_temperature_is_not_shown():
    (found,) = oil_warm_before_load(make_case(make_log(warming(550, 590))))
    assert found.answer is Answer.NOT_SHOWN


def test_a_manifold_not_yet_drawn_down_after_the_start_is_no_load():
    channels = warming(100, 140)
    channels["engine_speed"][:100] = 0.0
    channels["manifold_pressure"][:100] = 100 * KPA
    (found,) = coolant_warm_before_load(make_case(make_log(channels)))
    assert found.answer is not Answer.BROKEN


def test_load_that_is_missing_for_half_the_drive_proves_no_gentle_warm_up():
    channels = warming(550, 590)
    channels["manifold_pressure"][:300] = np.nan
    (found,) = coolant_warm_before_load(make_case(make_log(channels)))
    assert found.answer is Answer.TOO_LITTLE
