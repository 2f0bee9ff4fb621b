"""Drift as a job: which log is the reference, what is said of the oil, what is refused."""

from dataclasses import replace

import numpy as np
import pytest
from benchmarks.drift_power import FIT

from tests.lubrication.builds import heron
from tests.lubrication.drift.drives import SECONDS, engine, later, miss, reference
from witnessmark.errors import UserError
from witnessmark.jobs.drift import watch
from witnessmark.jobs.lubrication_book import lubrication_hash
from witnessmark.lubrication.drift.reference import kept
from witnessmark.lubrication.rehearse import rehearse
from witnessmark.lubrication.system import PARAMETERS
from witnessmark.model.calibration import Calibration, Learned
from witnessmark.model.drift import Moved, OilSaid, worst
from witnessmark.model.log import Log, Source


def log_of(readings, name: str) -> Log:
    """A log as read from a file; before the start it shows nothing worth learning."""
    channels = {
        "engine_speed": readings.speed,
        "oil_temperature": readings.temperature,
        "oil_pressure": readings.pressure,
    }
    held = np.full(len(readings.time), readings.time[1])
    return Log(Source(name, name * 8, 0, len(held)), readings.time, held, channels)


@pytest.fixture(scope="module")
def first():
    drive = rehearse(engine(), np.random.default_rng(1), SECONDS, misses=(miss(),))
    return log_of(drive, "first.csv")


@pytest.fixture(scope="module")
def sound():
    return log_of(later(20), "sound.csv")


@pytest.fixture(scope="module")
def worn():
    return log_of(later(31, {"leak": 1.3}), "worn.csv")


@pytest.fixture(scope="module")
def found(first, sound, worn):
    return watch(heron(), [first, sound, worn])


def calibration(first) -> Calibration:
    """What `calibrate` would keep, with a narrow cloud drawn about the fit."""
    fit = reference()
    cloud = fit.best + 0.2 * np.random.default_rng(0).normal(size=(100, len(PARAMETERS)))
    learned = Learned(first.source, SECONDS, 10.0, 90.0, 320.0, 370.0)
    return Calibration(
        "TS-0417", heron().sha256, lubrication_hash(), (learned,), (), fit.lag, 0.0, 2e3,
        tuple(fit.best.tolist()), tuple(tuple(row) for row in cloud.tolist()), None, (),
    )  # fmt: skip


@pytest.fixture(scope="module")
def holding(first):
    """The calibration with its readings: spares these tests a fit."""
    drive = rehearse(engine(), np.random.default_rng(1), SECONDS, misses=(miss(),))
    learned = calibration(first)
    return replace(learned, readings=kept((drive,), learned.lag, FIT))


def test_the_first_log_is_the_reference_and_the_rest_are_judged(found):
    assert found.reference == "the first log, first.csv"
    assert [log.source.name for log in found.logs] == ["sound.csv", "worn.csv"]
    assert [each.name for each in found.logs[0].changes] == [
        "leak", "relief_opening", "relief_gradient",
    ]  # fmt: skip
    assert found.logs[0].seconds == pytest.approx(SECONDS, abs=20)


def test_wear_is_changed_and_a_sound_log_is_not(found):
    assert [log.changes[0].moved for log in found.logs][1] is Moved.CHANGED
    assert Moved.CHANGED not in [each.moved for each in found.logs[0].changes]
    assert worst(found) is Moved.CHANGED


def test_what_a_thinner_oil_would_have_to_be_is_said(found):
    thinner = found.logs[1].thinner
    assert thinner.viscosity < -0.05
    low, high = thinner.fuel
    assert 0 < low < high < 0.25


def test_the_false_alarm_rate_is_stated(found):
    assert found.false_alarms == pytest.approx(0.001)


def test_a_new_fill_stays_in_for_the_logs_after_it(holding, sound, worn):
    watched = watch(heron(), [sound, worn], holding, {"sound.csv": OilSaid(new=True)})
    assert [log.oil for log in watched.logs] == ["a new fill of the same oil"] * 2


def test_another_grade_and_fuel_are_named(holding, sound):
    oils = {"sound.csv": OilSaid(new=True, grade="10W-40", fuel=0.03)}
    (log,) = watch(heron(), [sound], holding, oils).logs
    assert log.oil == "a new fill of 10W-40, 3 % fuel in it"


@pytest.mark.parametrize(
    ("oils", "said"),
    [
        ({"nobody.csv": OilSaid(new=True)}, "none of the later logs"),
        ({"sound.csv": OilSaid(fuel=0.9)}, "90% of fuel"),
        ({"sound.csv": OilSaid(fuel=-0.1)}, "of fuel"),
        ({"sound.csv": OilSaid(new=True, grade="banana")}, "banana"),
    ],
)
def test_an_oil_that_cannot_be_is_refused(first, sound, oils, said):
    with pytest.raises(UserError, match=said):
        watch(heron(), [first, sound], oils=oils)


def test_one_log_alone_is_too_few(first):
    with pytest.raises(UserError, match="one log and no calibration"):
        watch(heron(), [first])


def test_a_log_without_oil_pressure_is_refused(first, sound):
    channels = {k: v for k, v in sound.channels.items() if k != "oil_pressure"}
    with pytest.raises(UserError, match="oil pressure"):
        watch(heron(), [first, replace(sound, channels=channels)])


def test_a_calibration_without_its_log_says_that_ranges_are_wider(first, sound):
    learned = calibration(first)
    (alone,) = watch(heron(), [sound], learned).logs
    (beside,) = watch(heron(), [first, sound], learned).logs
    assert any("ranges are wider" in note for note in alone.notes)
    assert not any("ranges are wider" in note for note in beside.notes)
    assert alone.changes[0].least > beside.changes[0].least


def test_readings_kept_in_the_calibration_do_as_well_as_its_log(first, sound, holding):
    (alone,) = watch(heron(), [sound], holding).logs
    (beside,) = watch(heron(), [first, sound], calibration(first)).logs
    assert alone.changes[0].sure == pytest.approx(beside.changes[0].sure, abs=0.3)
    assert not any("ranges are wider" in note for note in alone.notes)


def test_only_logs_the_calibration_was_made_of_are_too_few(first):
    with pytest.raises(UserError, match="a later log"):
        watch(heron(), [first], calibration(first))


def test_another_builds_calibration_is_refused(first, sound):
    other = replace(calibration(first), build_sha256="0" * 64)
    with pytest.raises(UserError, match="another build sheet"):
        watch(heron(), [sound], other)
