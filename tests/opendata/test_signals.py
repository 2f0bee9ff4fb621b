"""Signal truth on measured logs nobody here made: what their origin says of them is found.

Origins and known oddities: ../shared/README.md; rates and steps stand in the raw files.
"""

import pytest
from numpy.testing import assert_allclose

from witnessmark.checks.signals.truth import truth_of
from witnessmark.logs.read import read_log
from witnessmark.model.signal import Flaw

OF_THE_LOGGER = {Flaw.REPEATED}


def truth(shared_data, name):
    return truth_of(read_log(shared_data / name))


@pytest.mark.parametrize(
    "name",
    ["aircraft_flight_1hz.csv", "j1939_truck_idle_decoded.csv", "obd_cold_city_petrol.csv",
     "obd_city_diesel_long.csv"],
)  # fmt: skip
def test_no_sensor_of_a_real_log_is_called_stuck_clipped_or_dropped_out(shared_data, name):
    signals = truth(shared_data, name).values()
    found = {s.channel: {f.flaw for f in s.faults} - OF_THE_LOGGER for s in signals}
    assert {channel: flaws for channel, flaws in found.items() if flaws} == {}


def test_ten_channels_polled_in_turn_are_not_eleven_readings_a_second(shared_data):
    # "About 11 rows a second, one channel a row": each row repeats the last value of the other
    # nine, so each of the ten channels is read every 10 rows of 0.09 s.
    signals = truth(shared_data, "obd_cold_city_petrol.csv")
    assert signals["engine_speed"].fault(Flaw.REPEATED) is not None
    assert_allclose([s.interval for s in signals.values()], 0.9, rtol=0.02)


def test_the_truck_reads_oil_pressure_twice_a_second_in_steps_of_four_kilopascals(shared_data):
    # README: oil pressure 2 Hz in 4 kPa steps, temperatures 1 Hz.
    signals = truth(shared_data, "j1939_truck_idle_decoded.csv")
    assert_allclose(signals["oil_pressure"].interval, 0.5)
    assert_allclose(signals["oil_pressure"].step, 4e3)
    assert_allclose(signals["oil_temperature"].interval, 1.0)
    # SAE J1939-71, SPN 175: 0.03125 °C a bit.
    assert_allclose(signals["oil_temperature"].step, 0.03125)


def test_the_flight_is_read_once_a_second_in_the_units_it_was_written_in(shared_data):
    signals = truth(shared_data, "aircraft_flight_1hz.csv")
    assert_allclose(signals["oil_pressure"].interval, 1.0)
    assert_allclose(signals["oil_pressure"].step, 6894.757, rtol=1e-6)  # 1 psi
    assert_allclose(signals["oil_temperature"].step, 1 / 1.8, rtol=1e-9)  # 1 °F
