"""Voltage with the engine running. Limits: 13.2 to 14.8 V, 15.0 V and 12.8 V; common practice."""

import numpy as np
import pytest

from tests.checks.fuelling.driven import driven, log_of
from tests.made import make_case
from witnessmark.checks.supply import voltage
from witnessmark.model.finding import Answer
from witnessmark.units import Preferences

METRIC = Preferences()


def judged(volts, **more):
    channels = driven(battery_voltage=volts) | more
    (found,) = voltage(make_case(log_of(channels)))
    return found


def ripple(middle):
    return middle + 0.1 * np.sin(np.arange(1200))


@pytest.mark.parametrize(
    ("times", "said"), [(1, "14.1 V in the middle"), (2, "24 V system. 28.2 V")]
)
def test_a_charging_system_is_kept_at_12_and_24_volts(times, said):
    found = judged(ripple(14.1) * times)
    assert found.answer is Answer.KEPT
    assert found.do_next is None
    assert found.said.read(METRIC).startswith(said)


def test_an_alternator_that_never_charges_is_a_stop():
    found = judged(ripple(12.3))
    assert found.answer is Answer.BROKEN
    assert "does not charge" in found.said.read(METRIC)
    assert judged(ripple(24.6)).answer is Answer.BROKEN


def test_an_alternator_that_is_switched_by_the_engine_is_no_alarm():
    volts = ripple(12.4)
    volts[600:800] += 2.0  # charges when you lift off
    found = judged(volts)
    assert found.answer is Answer.KEPT
    assert "too little" in found.do_next.read(METRIC)


def test_over_15_volts_for_ten_seconds_is_a_stop_found_to_the_sample():
    volts = ripple(14.2)
    volts[500:599] = 15.4
    assert judged(volts).answer is Answer.KEPT
    volts[500:600] = 15.4
    found = judged(volts)
    assert found.answer is Answer.BROKEN
    span = found.events[0].span
    assert (span.start, span.end) == pytest.approx((50.0, 60.0))


def test_key_off_and_cranking_do_not_count():
    volts = ripple(14.2)
    volts[:150] = 9.8
    speed = np.full(1200, 2500 / 60)
    speed[:120] = 200 / 60  # cranking; the first seconds after the start do not count either
    found = judged(volts, engine_speed=speed)
    assert found.answer is Answer.KEPT
    assert "dip" not in found.said.read(METRIC)


def test_dips_while_running_are_counted_with_their_moment():
    volts = ripple(14.2)
    volts[700:703] = 10.5
    found = judged(volts)
    assert found.answer is Answer.KEPT
    assert "1 dip under 11.5 V" in found.said.read(METRIC)
    assert found.events[0].span.start == pytest.approx(70.0)


def test_a_channel_that_never_moves_proves_no_dead_alternator():
    assert judged(np.full(1200, 12.3)).answer is not Answer.BROKEN


def test_missing_is_not_shown():
    (found,) = voltage(make_case(log_of(driven())))
    assert found.answer is Answer.NOT_SHOWN
