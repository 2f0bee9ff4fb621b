"""Measurement files written by asammdf from known numbers read back to the sample."""

from datetime import datetime

import numpy as np
import pytest
from asammdf import MDF, Signal

from tests.logs.recordings.drive import BUS, frames, fresh, shows_the_drive
from tests.logs.written import column, said
from witnessmark.errors import UserError
from witnessmark.logs.read import read_log, read_log_bytes

FAST, SLOW = 0.01 * np.arange(1000), 0.25 + 0.5 * np.arange(19)  # s
RPM = 900 + 0.25 * np.arange(1000)
COOLANT = 40 + np.arange(19)


def saved(path, groups, version="4.10", started=None, **how):
    """A file of these groups of signals. asammdf closes itself twice and would complain."""
    mdf = MDF(version=version)
    if started:
        mdf.start_time = started
    for signals, name in groups:
        mdf.append(signals, acq_name=name) if version[0] == "4" else mdf.append(signals)
    path = path if version[0] == "4" else path.with_suffix(".mdf")  # as it would rename it
    mdf.save(path, overwrite=True, **how)
    let_go(mdf)
    return path


def let_go(mdf):
    inner = mdf._mdf
    mdf.close()
    inner.header = inner.identification = None


def engine():
    oil = np.where(np.arange(19) % 2, 3.5, 4.25).astype(np.float32)
    return [
        ([Signal(RPM, FAST, name="nEngine", unit="rpm"),
          Signal(100 + np.arange(1000) % 7, FAST, name="MAP", unit="kPa")], "fast"),
        ([Signal(COOLANT.astype("i2"), SLOW, name="Coolant Temp", unit="°C"),
          Signal(oil, SLOW, name="Oil Pressure", unit="bar")], "slow"),
    ]  # fmt: skip


@pytest.fixture(scope="module")
def drive(tmp_path_factory):
    """The file of `engine()`. Every reading of a file starts a process, which takes a second."""
    return saved(tmp_path_factory.mktemp("mdf") / "drive.mf4", engine())


@pytest.fixture(scope="module")
def several(tmp_path_factory):
    """One file with words for numbers, two channels of one name, and a start: read once."""
    words = {"val_0": 0, "text_0": b"Off", "val_1": 1, "text_1": b"On"}
    switch = Signal((np.arange(19) % 2).astype("u1"), SLOW, name="Brake Switch", conversion=words)
    mode = Signal(np.array([b"cold", b"warm"] * 9 + [b"warm"]), SLOW, name="Gear", encoding="utf-8")
    twin = Signal(RPM[:19], SLOW, name="nEngine", unit="rpm")
    groups = [*engine(), ([switch, mode], "words"), ([twin], "dash")]
    path = tmp_path_factory.mktemp("mdf") / "several.mf4"
    return read_log(saved(path, groups, started=datetime(2026, 5, 4, 10, 30, 15)))


@pytest.mark.parametrize(("version", "compression"), [("4.10", 0), ("4.11", 2), ("3.30", 0)])
def test_each_group_keeps_its_own_times(tmp_path, version, compression):
    log = read_log(saved(tmp_path / "drive.mf4", engine(), version, compression=compression))
    read_at = fresh(log, "engine_speed")
    np.testing.assert_allclose(log["engine_speed"][read_at] * 60, RPM)
    np.testing.assert_allclose(log.time[read_at], FAST)
    read_at = fresh(log, "coolant_temperature")
    np.testing.assert_allclose(log["coolant_temperature"][read_at] - 273.15, COOLANT)
    np.testing.assert_allclose(log.time[read_at], SLOW)
    np.testing.assert_allclose(
        log["oil_pressure"][fresh(log, "oil_pressure")] / 1e5, [4.25, 3.5] * 9 + [4.25], rtol=1e-6
    )
    assert len(log.time) == len(np.union1d(FAST, SLOW))


def test_the_same_from_bytes_whatever_it_is_called(drive):
    ours = read_log_bytes(drive.read_bytes(), "drive.csv")
    theirs = read_log(drive)
    for channel, values in theirs.channels.items():
        np.testing.assert_array_equal(ours[channel], values)
    assert ours.source.sha256 == theirs.source.sha256


def test_readings_marked_as_invalid_are_left_out(tmp_path):
    bad = np.zeros(1000, dtype=bool)
    bad[100:110] = True
    signals = [Signal(RPM, FAST, name="nEngine", unit="rpm", invalidation_bits=bad)]
    log = read_log(saved(tmp_path / "drive.mf4", [*engine()[1:], (signals, "fast")]))
    read_at = fresh(log, "engine_speed")
    np.testing.assert_allclose(log["engine_speed"][read_at] * 60, RPM[~bad])
    np.testing.assert_allclose(log.time[read_at], FAST[~bad])


def test_words_for_numbers(several):
    read_at = fresh(several, "brake_switch")
    np.testing.assert_array_equal(several["brake_switch"][read_at], np.arange(19) % 2)
    assert "words, not numbers" in column(several, "Gear").why


def test_two_channels_of_one_name_are_told_apart(several):
    names = [c.name for c in several.columns]
    assert "nEngine (fast)" in names and "nEngine (dash)" in names


def test_the_start_of_the_measurement_is_kept(several):
    assert str(several.started)[:19] == "2026-05-04 10:30:15"


@pytest.mark.parametrize(
    ("share", "way"), [(0.01, "path"), (0.5, "path"), (0.5, "bytes"), (0.999, "bytes")]
)
def test_a_file_that_is_cut_off_is_one_clean_fault(tmp_path, drive, share, way, capfd):
    data = drive.read_bytes()
    cut = tmp_path / "cut.mf4"
    cut.write_bytes(data[: max(9, int(share * len(data)))])
    with pytest.raises(UserError, match=r"cut\.mf4: .*(cut off|damaged)") as caught:
        read_log(cut) if way == "path" else read_log_bytes(cut.read_bytes(), "cut.mf4")
    assert len(caught.value.faults) == 1
    assert capfd.readouterr().err == ""


def test_a_file_with_nothing_in_it(tmp_path):
    with pytest.raises(UserError, match="not one reading"):
        read_log(saved(tmp_path / "empty.mf4", []))


def bus_file(path, ide=True, dbc_free=False):
    """Frames as ASAM's bus logging lays them out, in one group."""
    sent = frames()
    kinds = np.dtype(
        [("CAN_DataFrame.BusChannel", "u1"), ("CAN_DataFrame.ID", "<u4"),
         ("CAN_DataFrame.IDE", "u1"), ("CAN_DataFrame.DLC", "u1"),
         ("CAN_DataFrame.DataLength", "u1"), ("CAN_DataFrame.DataBytes", "u1", (8,))]
    )  # fmt: skip
    rows = np.zeros(len(sent), dtype=kinds)
    for row, each in zip(rows, sent, strict=True):
        row["CAN_DataFrame.BusChannel"], row["CAN_DataFrame.ID"] = 1, each.arbitration_id
        row["CAN_DataFrame.DLC"] = row["CAN_DataFrame.DataLength"] = len(each.data)
        row["CAN_DataFrame.DataBytes"] = list(each.data)
    time = np.array([m.timestamp for m in sent])
    return saved(path, [([Signal(rows, time, name="CAN_DataFrame")], "CAN1")])


def test_recorded_frames_are_decoded_with_the_dbc(tmp_path):
    path = bus_file(tmp_path / "bus.mf4")
    shows_the_drive(read_log(path, buses=[BUS]), tolerance=1e-9)
    with pytest.raises(UserError, match="--dbc FILE"):
        read_log(path)


def test_measured_channels_and_frames_in_one_file(tmp_path):
    path = bus_file(tmp_path / "bus.mf4")
    mdf = MDF(path)
    mdf.append([Signal(COOLANT[:10] / 10.0, SLOW[:10], name="Fuel Pressure", unit="bar")])
    mdf.save(tmp_path / "both.mf4", overwrite=True)
    let_go(mdf)
    log = read_log(tmp_path / "both.mf4", buses=[BUS])
    np.testing.assert_allclose(
        log["fuel_pressure"][fresh(log, "fuel_pressure")], COOLANT[:10] * 1e4
    )
    assert "engine_speed" in log
    # Without a DBC the measured channels are still there, and the frames are told.
    alone = read_log(tmp_path / "both.mf4")
    assert "fuel_pressure" in alone and "no definition" in said(alone)


def test_channels_nobody_asks_for_are_not_fetched(drive):
    log = read_log(drive, only=["engine_speed"])
    assert "engine_speed" in log and "coolant_temperature" not in log
    assert [c.name for c in log.columns][1:] == ["nEngine", "MAP", "Coolant Temp", "Oil Pressure"]


def test_without_the_extra_it_is_said_what_to_install(drive, monkeypatch):
    import sys  # noqa: PLC0415 - beside its one use

    monkeypatch.setitem(sys.modules, "asammdf", None)
    with pytest.raises(UserError, match=r"pip install 'witnessmark\[mdf\]'"):
        read_log(drive)


def test_a_file_that_kills_its_reader_is_one_clean_fault(drive, monkeypatch):
    # Some damaged files make the library's code in C die: here its process is killed outright.
    monkeypatch.setattr("witnessmark.logs.recordings.mdf._PATIENCE", 0.0)
    monkeypatch.setattr("witnessmark.logs.recordings.mdf._EACH_MB", 0.0)
    with pytest.raises(UserError, match="cut off or damaged"):
        read_log(drive)
