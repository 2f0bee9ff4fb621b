"""J1939: groups instead of identifiers, numbers that are no reading, long messages.

Layout of identifiers, the groups and the ranges of "no reading": SAE J1939-21 and -71, from memory.
"""

import numpy as np
import pytest

from tests.logs.recordings.drive import fresh, message, written
from tests.logs.written import column, said
from witnessmark.logs.read import read_log_bytes
from witnessmark.logs.recordings.dbc import Dbc
from witnessmark.logs.recordings.definitions import Bits
from witnessmark.logs.recordings.j1939 import no_reading, pgn_of, source_of, table

EEC1, ET1, EFLP1 = 0x0CF00400, 0x18FEEE00, 0x18FEEF00
NONE = 0xFF


def eec1(rpm: float) -> bytes:
    raw = round(rpm / 0.125)
    return bytes([NONE, NONE, NONE, raw & 255, raw >> 8, NONE, NONE, NONE])


def engine(rows: int = 100, source: int = 0, rpm: float = 800.0):
    """Speed each 20 ms, temperatures each 200 ms, pressures each 100 ms."""
    found = []
    for i in range(rows):
        t = i * 0.02
        found.append(message(t, EEC1 | source, eec1(rpm + i), extended=True))
        if i % 10 == 0:
            found.append(message(t + 0.001, ET1 | source, bytes([120, 63, *[NONE] * 6]), True))
        if i % 5 == 0:
            data = bytes([NONE, NONE, NONE, 75, NONE, NONE, NONE, NONE])
            found.append(message(t + 0.002, EFLP1 | source, data, True))
    return found


def read(messages, *buses, **kw):
    every = sorted(messages, key=lambda m: m.timestamp)
    return read_log_bytes(written("blf", every), "truck.blf", buses=buses, **kw)


@pytest.mark.parametrize(
    ("ident", "group", "source"),
    [(0x0CF00400, 61444, 0), (0x18FEEE31, 65262, 0x31), (0x1CECFF03, 0xEC00, 3),
     (0x18EA0021, 0xEA00, 0x21), (0x1DF00455, 0x1F004, 0x55)],
)  # fmt: skip
def test_group_and_source_of_an_identifier(ident, group, source):
    assert (pgn_of(ident), source_of(ident)) == (group, source)


def test_an_engine_without_a_dbc():
    log = read(engine())
    read_at = fresh(log, "engine_speed")
    np.testing.assert_allclose(log["engine_speed"][read_at] * 60, 800 + np.arange(100))
    np.testing.assert_allclose(log.time[read_at], 0.02 * np.arange(100), atol=1e-5)
    assert log["coolant_temperature"][0] - 273.15 == pytest.approx(80, abs=1e-9) or np.isnan(
        log["coolant_temperature"][0]
    )
    assert np.nanmax(log["coolant_temperature"]) - 273.15 == pytest.approx(80)
    assert np.nanmax(log["oil_pressure"]) == pytest.approx(300e3)
    assert "SAE J1939-71, from memory" in said(log)
    assert "never hold a reading" in said(log)


def test_the_engines_own_address_is_used_whatever_priority():
    other = engine(rows=300, source=0x21, rpm=3000)
    for each in other:
        each.arbitration_id |= 0x1C000000
    log = read([*other, *engine()])
    assert np.nanmax(log["engine_speed"]) * 60 == pytest.approx(899)
    assert "EEC1 comes from several: 0CF00400 used, not 1CF00421" in said(log)


def test_another_address_is_used_for_what_the_engine_does_not_say():
    cold = [message(0.05 * i, 0x18FEF533, bytes([NONE] * 3 + [0x00, 0x25] + [NONE] * 3), True)
            for i in range(30)]  # fmt: skip
    engines = [message(0.05 * i + 0.01, 0x18FEF500, bytes([200, *[NONE] * 7]), True)
               for i in range(30)]  # fmt: skip
    log = read([*engine(), *cold, *engines])
    assert np.nanmax(log["barometric_pressure"]) == pytest.approx(100e3)  # 200 * 0.5 kPa
    # 0x2500 = 9472 / 32 - 273 = 23 °C
    assert np.nanmax(log["ambient_temperature"]) - 273.15 == pytest.approx(23)


def test_no_readings_are_blanks_and_counted():
    spoilt = engine()
    speeds = [m for m in spoilt if m.arbitration_id == EEC1]
    speeds[10].data[3:5] = b"\xff\xff"
    speeds[20].data[3:5] = b"\x00\xfe"
    speeds[21].data[3:5] = b"\x10\xfb"
    log = read(spoilt)
    read_at = np.isfinite(log["engine_speed"]) & fresh(log, "engine_speed")
    assert int(read_at.sum()) == 97
    assert log["engine_speed"].max() * 60 < 900
    text = said(log)
    assert "says 'not available' once" in text
    assert "says 'error' once" in text
    assert "says something that is no reading once" in text


def test_a_dbc_of_j1939_matches_by_group_and_our_table_fills_the_rest():
    dbc = Dbc(
        "mine.dbc",
        """VERSION ""
BU_: U
BO_ 2364540158 EEC1: 8 U
 SG_ EngSpeed : 24|16@1+ (0.125,0) [0|8031.875] "rpm" U
BA_DEF_ BO_  "VFrameFormat" ENUM  "StandardCAN","ExtendedCAN","reserved","J1939PG";
BA_DEF_DEF_  "VFrameFormat" "J1939PG";
BA_ "VFrameFormat" BO_ 2364540158 3;
""",
    )
    log = read(engine(), dbc)
    assert column(log, "EngSpeed").channel == "engine_speed"
    assert "engine_speed" in log and "oil_pressure" in log
    assert not any(c.name == "Engine speed (SPN 190)" for c in log.columns)


LONG = """VERSION ""
BU_: U
BO_ 2566834942 Long: 16 U
 SG_ OilTemp : 96|16@1+ (0.03125,-273) [0|0] "degC" U
BA_DEF_ BO_  "VFrameFormat" ENUM  "StandardCAN","ExtendedCAN","reserved","J1939PG";
BA_DEF_DEF_  "VFrameFormat" "J1939PG";
BA_ "VFrameFormat" BO_ 2566834942 3;
"""  # 2566834942 = 0x80000000 | 0x18FECAFE: group 0xFECA


def long_message(time: float, payload: bytes, lost: int = -1):
    """A message to all in packets of 7 bytes; `lost`: the packet that never came."""
    packets = [payload[i : i + 7].ljust(7, b"\xff") for i in range(0, len(payload), 7)]
    head = bytes([32, len(payload), 0, len(packets), NONE, 0xCA, 0xFE, 0])
    found = [message(time, 0x1CECFF00, head, True)]
    for i, packet in enumerate(packets):
        if i != lost:
            data = bytes([i + 1]) + packet
            found.append(message(time + 0.05 * (i + 1), 0x1CEBFF00, data, True))
    return found


def test_a_long_message_is_put_together():
    raw = round((95 + 273) / 0.03125)
    payload = bytes(12) + raw.to_bytes(2, "little") + bytes(2)
    sent = [m for k in range(4) for m in long_message(0.1 + 0.4 * k, payload, 1 if k == 2 else -1)]
    log = read([*engine(), *sent], Dbc("long.dbc", LONG))
    read_at = fresh(log, "oil_temperature")
    assert log["oil_temperature"][read_at] - 273.15 == pytest.approx([95, 95, 95])
    # The reading came with the last packet.
    assert log.time[read_at] == pytest.approx([0.25, 0.65, 1.45], abs=1e-5)
    assert "3 messages in several packets put together" in said(log)
    assert "1 messages in several packets are not whole: left out" in said(log)


def test_frames_of_29_bits_that_are_no_j1939_are_not_taken_for_it():
    strange = [message(0.02 * i, EEC1, eec1(800)[:6], True) for i in range(50)]
    with pytest.raises(Exception, match="--dbc FILE"):
        read(strange)


@pytest.mark.parametrize(
    ("length", "good", "reserved", "error", "absent"),
    [(8, 0xFA, 0xFB, 0xFE, 0xFF), (16, 0xFAFF, 0xFB00, 0xFE00, 0xFF00),
     (32, 0xFAFFFFFF, 0xFB000000, 0xFE000000, 0xFFFFFFFF), (2, 1, None, 2, 3),
     (4, 13, None, 14, 15)],
)  # fmt: skip
def test_the_numbers_that_are_no_reading(length, good, reserved, error, absent):
    def kinds(number):
        found = no_reading(np.array([number], dtype=np.uint64), Bits(0, length))
        return bool(found.absent[0]), bool(found.error[0]), bool(found.reserved[0])

    assert kinds(good) == (False, False, False)
    assert kinds(absent) == (True, False, False)
    assert kinds(error) == (False, True, False)
    assert reserved is None or kinds(reserved) == (False, False, True)


def test_no_two_parameters_of_our_table_share_a_bit():
    for group in table():
        used: set[int] = set()
        for signal in group.signals:
            bits = set(range(signal.bits.start, signal.bits.start + signal.bits.length))
            assert not bits & used and max(bits) < 64, (group.name, signal.name)
            used |= bits
