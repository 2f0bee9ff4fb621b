"""Bus logs written by python-can read back to the sample, by the user's DBC."""

import gzip
import io
import zipfile

import pytest

from tests.logs.recordings.drive import BUS, DBC, frames, fresh, message, shows_the_drive, written
from tests.logs.written import column, said
from witnessmark.errors import UserError
from witnessmark.logs.read import read_log_bytes
from witnessmark.logs.recordings.dbc import Dbc

KINDS = ["blf", "asc", "log", "trc"]


def read(data: bytes, *buses: Dbc, name: str = "drive.bin"):
    return read_log_bytes(data, name, buses=buses)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_bus_log_whatever_it_is_called(kind):
    # A text log writes its stamps to 0.1 ms at best, TRC too.
    shows_the_drive(read(written(kind, frames()), BUS), tolerance=2e-4)


@pytest.mark.parametrize("kind", KINDS)
def test_without_a_dbc_it_is_said_what_is_wanted(kind):
    with pytest.raises(UserError, match="--dbc FILE") as caught:
        read(written(kind, frames()))
    assert "100, 101" in str(caught.value)


def test_the_wall_clock_of_the_first_frame():
    log = read(written("log", frames(), start=1_700_000_000.0), BUS)
    assert str(log.started) == "2023-11-14 22:13:20"  # 1,700,000,000 s after 1970


def test_on_and_off_out_of_the_dbc():
    log = read(written("blf", frames()), BUS)
    assert column(log, "BrakeSwitch").channel == "brake_switch"
    assert log["brake_switch"][0] == 0.0
    assert log["brake_switch"].max() == 1.0


def test_frames_without_a_definition_are_counted():
    extra = [message(0.5 + i / 100, 0x333, b"\x01\x02") for i in range(7)]
    every = sorted([*frames(), *extra], key=lambda m: m.timestamp)
    log = read(written("log", every), BUS)
    assert "7 frames or long messages of 1 identifiers have no definition: not read (333)" in said(
        log
    )


def test_of_two_dbcs_the_first_that_has_a_frame_counts():
    other = Dbc("other.dbc", DBC.replace("(0.25,0)", "(1,0)"))
    first = read(written("log", frames()), BUS, other)
    shows_the_drive(first)
    second = read(written("log", frames()), other, BUS)
    assert second["engine_speed"][0] == pytest.approx(4 * 900 / 60)


def test_a_wrong_dbc_is_told():
    wrong = Dbc("wrong.dbc", DBC.replace(" 256 ", " 700 ").replace(" 257 ", " 701 "))
    with pytest.raises(UserError, match=r"wrong\.dbc has none of them"):
        read(written("log", frames()), wrong)


@pytest.mark.parametrize("text", ["BO_ nonsense", "BO_ 1 M: 8 U\n SG_ S : x|8@1+ (1,0) [0|0]"])
def test_a_damaged_dbc_is_one_clean_fault(text):
    with pytest.raises(UserError, match=r"mine\.dbc: it cannot be read as a DBC"):
        read(written("log", frames()), Dbc("mine.dbc", text))


@pytest.mark.parametrize("kind", ["log", "asc"])
def test_a_damaged_line_is_dropped_not_shifted(kind):
    lines = written(kind, frames()).decode().splitlines()
    at = next(i for i, line in enumerate(lines) if "100" in line and i > 20)
    lines[at] = lines[at][:-5] + "zz"
    log = read("\n".join(lines).encode(), BUS)
    assert "1 damaged line" in said(log)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("share", [0.3, 0.71, 0.97])
def test_a_log_that_breaks_off_is_read_as_far_as_it_is_whole(kind, share):
    data = written(kind, frames())
    try:
        log = read(data[: int(share * len(data))], BUS)
    except UserError:
        assert kind == "blf"  # all its frames are packed into one block
        return
    assert log["engine_speed"][0] == pytest.approx(15.0)
    # Each fresh reading is the one that was sent at this time, 10 rpm more every 50 ms.
    read_at = fresh(log, "engine_speed")
    want = (900 + 10 * log.time[read_at].round(2) / 0.05) / 60
    assert log["engine_speed"][read_at] == pytest.approx(want)


def test_two_buses_with_one_identifier_are_not_mixed():
    twin = [message(m.timestamp + 0.002, m.arbitration_id, bytes(8), bus=1) for m in frames()]
    every = sorted([*frames(), *twin], key=lambda m: m.timestamp)
    log = read(written("blf", every), BUS)
    shows_the_drive(log)
    assert "comes from several" in said(log)


@pytest.mark.parametrize("pack", ["zip", "gzip"])
def test_one_log_in_an_archive(pack):
    data = written("log", frames())
    if pack == "gzip":
        packed = gzip.compress(data)
    else:
        held = io.BytesIO()
        with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("logs/drive.log", data)
            archive.writestr("__MACOSX/logs/._drive.log", b"x")
        packed = held.getvalue()
    log = read(packed, BUS)
    shows_the_drive(log)
    assert "taken out of a" in said(log)
