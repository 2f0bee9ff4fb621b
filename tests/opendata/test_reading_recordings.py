"""The truck's raw frames against the values that someone else decoded from them, cell by cell."""

import csv

import numpy as np
import pytest

from witnessmark.errors import UserError
from witnessmark.logs.delimited.text import load
from witnessmark.logs.read import read_log
from witnessmark.logs.recordings.dbc import load_dbc
from witnessmark.logs.recordings.mdf import measured

pytest.importorskip("asammdf", reason="the extra 'mdf' is not installed")

# Column of the decoded file -> our signal: by the DBC for the two it has, else by our table.
DBC = {"rpm": "EngineSpeed", "speed_kmh": "WheelBasedVehicleSpeed"}
TABLE = {
    "rpm": "Engine speed (SPN 190)",
    "torque_pct": "Actual engine percent torque (SPN 513)",
    "oilp_kpa": "Engine oil pressure (SPN 100)",
    "coolant_C": "Engine coolant temperature (SPN 110)",
    "fuel_C": "Fuel temperature (SPN 174)",
    "oilT_C": "Engine oil temperature (SPN 175)",
    "speed_kmh": "Wheel-based vehicle speed (SPN 84)",
    "pedal_pct": "Accelerator pedal position (SPN 91)",
    "load_pct": "Engine percent load (SPN 92)",
    "boost_kpa": "Boost pressure (SPN 102)",
    "imt_C": "Intake manifold temperature (SPN 105)",
}


def decoded_elsewhere(folder):
    with (folder / "j1939_truck_idle_decoded.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    names = list(rows[0])
    return {n: np.array([float(r[n]) if r[n] else np.nan for r in rows]) for n in names}


@pytest.mark.parametrize("with_dbc", [False, True])
def test_every_value_of_the_decoded_file(shared_data, with_dbc):
    """Each cell is the newest reading at its row's time, empty before the first one."""
    want = decoded_elsewhere(shared_data)
    buses = [load_dbc(shared_data / "j1939_demo.dbc")] if with_dbc else []
    with measured(load(shared_data / "j1939_truck_idle.MF4"), buses) as found:
        got = {s.name: (s.time, s.read().to_numpy()) for s in found.series}
    names = TABLE | DBC if with_dbc else TABLE
    assert set(want) == {"t_s", "oil_level_pct"} | set(names)  # no column is left out
    for column, name in names.items():
        time, values = got[name]
        newest = np.searchsorted(time, want["t_s"] + 1e-9, side="right") - 1
        ours = np.where(newest >= 0, values[np.maximum(newest, 0)], np.nan)
        # Equal to the last bit: both multiply the same raw number by the same factor.
        np.testing.assert_array_equal(ours, want[column], err_msg=column)
    # Raw 0xFF, "not available", which the decoded file took for 102 %: no reading of ours.
    assert (want["oil_level_pct"] == 102).all()
    assert np.isnan(got["Engine oil level (SPN 98)"][1]).all()


def test_the_log_of_the_frames_and_of_the_decoded_file_agree(shared_data):
    whole = read_log(shared_data / "j1939_truck_idle.MF4")
    thin = read_log(shared_data / "j1939_truck_idle_decoded.csv")
    offset = 1.2109 - 1.0299  # s: first row of the one, first speed of the other
    shared = (
        "engine_speed", "oil_pressure", "oil_temperature", "coolant_temperature",
        "intake_temperature", "road_speed", "pedal_position", "engine_load",
    )  # fmt: skip
    for channel in shared:
        at = np.searchsorted(whole.time, thin.time + offset + 1e-6, side="right") - 1
        there = np.isfinite(thin[channel])
        np.testing.assert_allclose(
            whole[channel][at][there], thin[channel][there], rtol=1e-12, err_msg=channel
        )


def test_what_the_truck_says_besides(shared_data):
    log = read_log(shared_data / "j1939_truck_idle.MF4")
    said = "\n".join(note.said for note in log.notes)
    assert "57,849 frames" in said
    assert "SAE J1939-71, from memory" in said
    assert "have no definition: not read" in said
    assert "152 messages in several packets put together" in said  # announcements in the file: 152
    assert str(log.started) == "2021-10-26 01:00:54"
    # The lowest barometer in the file is raw 197, 98.5 kPa: steps of 0.5 kPa.
    assert np.nanmin(log["barometric_pressure"]) == pytest.approx(98.5e3)
    # Boost is counted from there: 2 kPa over it.
    assert np.nanmax(log["manifold_pressure"]) == pytest.approx(100.5e3)


def test_the_sparse_file(shared_data):
    log = read_log(shared_data / "j1939_sparse.MF4")
    assert str(log.started) == "2021-06-01 13:43:49"
    assert {"engine_speed", "coolant_temperature", "oil_temperature", "road_speed"} <= set(
        log.channels
    )
    assert np.nanmax(log["engine_speed"]) == 0  # raw 0 in every frame: the key is on, no more
    said = "\n".join(note.said for note in log.notes)
    assert "1,815 frames" in said and "'error'" in said


def test_a_file_cut_off_in_its_head_is_one_clean_fault(shared_data, tmp_path, capfd):
    data = (shared_data / "j1939_truck_idle.MF4").read_bytes()
    for size in (70, 3_000):
        path = tmp_path / "cut.MF4"
        path.write_bytes(data[:size])
        with pytest.raises(UserError, match="cut off"):
            read_log(path)
    assert capfd.readouterr().err == ""


def test_a_file_its_logger_never_closed_is_read_as_far_as_it_goes(shared_data, tmp_path):
    whole = read_log(shared_data / "j1939_truck_idle.MF4")  # begins with UnFinMF itself
    data = (shared_data / "j1939_truck_idle.MF4").read_bytes()
    path = tmp_path / "half.MF4"
    path.write_bytes(data[: len(data) // 2])
    half = read_log(path)
    assert any("never closed" in note.said for note in half.notes)
    fresh = half.fresh["engine_speed"]
    n = int(fresh.sum())
    speeds = whole["engine_speed"][whole.fresh["engine_speed"]]
    assert 0.4 < n / len(speeds) < 0.6
    np.testing.assert_array_equal(half["engine_speed"][fresh], speeds[:n])
