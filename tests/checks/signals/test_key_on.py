"""The sensors with the engine standing."""

import numpy as np
import pytest

from tests.made import KPA, RPM, celsius, make_case, make_log
from witnessmark.checks.signals.key_on import at_key_on
from witnessmark.model.finding import Answer
from witnessmark.physics.atmosphere import standard_pressure
from witnessmark.units import Preferences

STILL = 50  # samples of 0.1 s before the starter turns; ten of cranking


def started(**rest):
    """Ten seconds: standing, cranking, running. Each channel (at rest, running)."""
    n = 300
    phase = np.arange(n)
    speed = np.where(phase < STILL, 0.0, np.where(phase < STILL + 10, 200.0, 1200.0)) * RPM
    channels = {name: np.where(phase < STILL, a, b) for name, (a, b) in rest.items()}
    return make_log({"engine_speed": speed, **channels})


def found(log):
    return {f.check: f for f in at_key_on(make_case(log))}


def one(check, **rest):
    finding = found(started(**rest))[check]
    assert not finding.required
    return finding.answer


def test_a_log_that_begins_running_says_so_once():
    log = make_log({"engine_speed": np.full(100, 900.0) * RPM, "oil_pressure": np.full(100, 3e5)})
    (finding,) = at_key_on(make_case(log))
    assert finding.check == "key-on.start" and finding.answer is Answer.NOT_SHOWN


def test_an_engine_that_ran_before_is_not_at_rest():
    log = started(oil_pressure=(2e5, 3e5))
    log.channels["engine_speed"][:20] = 900 * RPM
    assert list(found(log)) == ["key-on.start"]


@pytest.mark.parametrize(
    ("pressure", "answer"),
    [(98.0, Answer.KEPT), (96.5, Answer.KEPT), (94.0, Answer.TOO_LITTLE), (40.0, Answer.BROKEN),
     (150.0, Answer.BROKEN)],
)  # fmt: skip
def test_manifold_against_the_barometer(pressure, answer):
    # Common practice: 1 to 2 kPa apart is good, over 3 flag, stop outside 60 to 110.
    rest = {"manifold_pressure": (pressure * KPA, 40 * KPA), "barometric_pressure": (98e3, 98e3)}
    assert one("key-on.manifold", **rest) is answer


@pytest.mark.parametrize(("off", "answer"), [(0.0, Answer.KEPT), (9e3, Answer.TOO_LITTLE)])
def test_manifold_against_the_standard_atmosphere_of_its_altitude(off, answer):
    # ISO 2533: 84.556 kPa at 1,500 m.
    rest = {"manifold_pressure": (84_556 + off, 4e4), "altitude": (1500.0, 1500.0)}
    assert one("key-on.manifold", **rest) is answer
    assert abs(standard_pressure(1500.0) - 84_556) < 1


def test_manifold_without_a_reference_is_only_held_against_what_air_can_be():
    assert one("key-on.manifold", manifold_pressure=(84e3, 4e4)) is Answer.KEPT


@pytest.mark.parametrize(
    ("coolant", "oil", "air", "answer", "words"),
    [
        (18, 19, 20, Answer.KEPT, "alike within 3 °C"),
        (18, 18, 22, Answer.KEPT, "4 °C apart"),
        (60, 55, 20, Answer.TOO_LITTLE, "the engine was warm"),
        (12, 20, 20, Answer.TOO_LITTLE, "8 °C apart"),
        (5, 20, 20, Answer.TOO_LITTLE, "15 °C apart"),
    ],
)
def test_temperatures_of_a_cold_engine_are_one(coolant, oil, air, answer, words):
    rest = {
        "coolant_temperature": celsius([coolant, coolant]),
        "oil_temperature": celsius([oil, oil]),
        "ambient_temperature": celsius([air, air]),
    }
    finding = found(started(**rest))["key-on.temperatures"]
    assert finding.answer is answer
    assert words in finding.said.read(Preferences())


@pytest.mark.parametrize(
    ("psi", "answer"),
    [(0, Answer.KEPT), (1.9, Answer.KEPT), (-1.9, Answer.KEPT), (5, Answer.TOO_LITTLE)],
)
def test_oil_pressure_reads_nothing_at_rest(psi, answer):
    assert one("key-on.oil-pressure", oil_pressure=(psi * 6895, 3e5)) is answer


@pytest.mark.parametrize(
    ("rest", "lowest", "answer"),
    [(12.6, 10.4, Answer.KEPT), (11.9, 10.4, Answer.TOO_LITTLE), (12.6, 8.8, Answer.TOO_LITTLE),
     (25.2, 20.5, Answer.KEPT), (13.9, 12.5, Answer.TOO_LITTLE)],
)  # fmt: skip
def test_battery_at_rest_and_cranking(rest, lowest, answer):
    log = started(battery_voltage=(rest, 14.0))
    log.channels["battery_voltage"][STILL : STILL + 10] = lowest
    assert found(log)["key-on.battery"].answer is answer


@pytest.mark.parametrize(("rest", "answer"), [(0.14, Answer.KEPT), (0.30, Answer.TOO_LITTLE)])
def test_pedal_rests_where_it_rests_in_the_drive(rest, answer):
    assert one("key-on.pedal", pedal_position=(rest, 0.14)) is answer


@pytest.mark.parametrize(("value", "answer"), [(1.9, Answer.KEPT), (1.0, Answer.TOO_LITTLE)])
def test_lambda_reads_free_air(value, answer):
    assert one("key-on.lambda", **{"lambda": (value, 0.9)}) is answer


@pytest.mark.parametrize(("kpa", "answer"), [(0.2, Answer.KEPT), (0.9, Answer.TOO_LITTLE)])
def test_crankcase_reads_nothing_at_rest(kpa, answer):
    assert one("key-on.crankcase", crankcase_pressure=(kpa * KPA, 0.5 * KPA)) is answer
