"""Answers of control units on the diagnostic identifiers.

Formulas: SAE J1979 / ISO 15031-5, frames: ISO 15765-2 and -4; from memory. Worked values: 0C with
1A F8 is 1,726 rpm, 05 with 7B is 83 °C, the two examples everyone quotes.
"""

import numpy as np
import pytest

from tests.logs.recordings.drive import fresh, message, written
from tests.logs.written import said
from witnessmark.logs.read import read_log_bytes

FILL = b"\xaa"


def single(*data: int) -> bytes:
    return (bytes([len(data), *data])).ljust(8, FILL)


def read(messages):
    return read_log_bytes(written("asc", messages), "obd.asc")


@pytest.mark.parametrize(("ident", "extended"), [(0x7E8, False), (0x18DAF110, True)])
def test_one_parameter_an_answer(ident, extended):
    sent = []
    for i in range(40):
        t = 0.1 * i
        sent.append(message(t, ident, single(0x41, 0x0C, 0x1A, 0xF8), extended))
        sent.append(message(t + 0.03, ident, single(0x41, 0x05, 0x7B), extended))
        sent.append(message(t + 0.06, ident, single(0x41, 0x0B, 0x23), extended))
    log = read(sent)
    read_at = fresh(log, "engine_speed")
    np.testing.assert_allclose(log["engine_speed"][read_at] * 60, 1726)
    np.testing.assert_allclose(log.time[read_at], 0.1 * np.arange(40), atol=1e-6)
    assert np.nanmax(log["coolant_temperature"]) - 273.15 == pytest.approx(83)
    assert np.nanmax(log["manifold_pressure"]) == pytest.approx(35e3)
    assert "SAE J1979" in said(log)


def test_many_parameters_in_one_frame_and_in_several():
    sent = []
    for i in range(30):
        t = 0.2 * i
        sent.append(message(t, 0x7E8, single(0x41, 0x0D, 50, 0x11, 51, 0x0F, 60)))
        # 0C 04 10 05 in one answer of 11 bytes: two frames.
        body = bytes([0x41, 0x0C, 0x1A, 0xF8, 0x04, 128, 0x10, 0x01, 0xF4, 0x05, 0x7B])
        sent.append(message(t + 0.05, 0x7E8, bytes([0x10, len(body)]) + body[:6]))
        sent.append(message(t + 0.06, 0x7E0, bytes([0x30, 0, 0, 0, 0, 0, 0, 0])))
        sent.append(message(t + 0.07, 0x7E8, (bytes([0x21]) + body[6:]).ljust(8, FILL)))
    log = read(sent)
    assert np.nanmax(log["road_speed"]) * 3.6 == pytest.approx(50)
    assert np.nanmax(log["throttle_position"]) == pytest.approx(51 / 255)
    assert np.nanmax(log["intake_temperature"]) - 273.15 == pytest.approx(20)
    read_at = fresh(log, "engine_speed")
    np.testing.assert_allclose(log["engine_speed"][read_at] * 60, 1726)
    np.testing.assert_allclose(log.time[read_at], 0.2 * np.arange(30) + 0.07, atol=1e-6)
    assert np.nanmax(log["air_flow"]) == pytest.approx(5e-3)  # 0x01F4 = 500 -> 5 g/s
    assert np.nanmax(log["engine_load"]) == pytest.approx(128 / 255)
    assert "no definition" in said(log)  # the tester's own frames


def test_the_engine_answers_before_the_gearbox():
    sent = []
    for i in range(40):
        sent.append(message(0.1 * i, 0x7E8, single(0x41, 0x0C, 0x1A, 0xF8)))
        sent.append(message(0.1 * i + 0.01, 0x7E9, single(0x41, 0x0C, 0x00, 0x00)))
    log = read(sent)
    np.testing.assert_allclose(log["engine_speed"] * 60, 1726)


def test_a_parameter_of_unknown_size_hides_what_stands_behind_it():
    sent = []
    for i in range(40):
        sent.append(message(0.1 * i, 0x7E8, single(0x41, 0x0C, 0x1A, 0xF8)))
        sent.append(message(0.1 * i + 0.01, 0x7E8, single(0x41, 0xA6, 0x0D, 0x32, 0x0D, 0x32)))
    log = read(sent)
    assert "road_speed" not in log
    assert "40 answers hold a parameter not in our table (A6)" in said(log)


def test_a_lost_frame_loses_the_answer():
    sent = []
    for i in range(40):
        t = 0.1 * i
        body = bytes([0x41, 0x0C, 0x1A, 0xF8, 0x04, 128, 0x10, 0x01, 0xF4, 0x05, 0x7B])
        sent.append(message(t, 0x7E8, bytes([0x10, len(body)]) + body[:6]))
        if i != 20:
            sent.append(message(t + 0.02, 0x7E8, (bytes([0x21]) + body[6:]).ljust(8, FILL)))
    log = read(sent)
    assert int(fresh(log, "engine_speed").sum()) == 39
    assert "1 answers in several frames are not whole: left out" in said(log)
