"""Damaged logs: refused in words or read as they stand; never a column under another's name.

The small cases are what the mutation benchmark found (benchmarks/damaged_logs.py) before it was
put right. Values are made up in benchmarks/damage/corpus.py: each says whose cell it is.
"""

import random

import numpy as np
import pytest
from benchmarks.damage.corpus import corpus
from benchmarks.damage.mutate import damaged
from benchmarks.damage.oracle import faults

from witnessmark.errors import UserError
from witnessmark.logs import read as reader
from witnessmark.logs.read import read_log_bytes

SOUND = {log.name: log for log in corpus()}
LOGS = list(SOUND.values())


def lines_of(name: str) -> list[str]:
    return SOUND[name].data.decode().split("\n")


def read(lines: list[str]):
    return read_log_bytes("\n".join(lines).encode(), "drive.csv")


def rightly_read(name: str, lines: list[str]):
    """The log, in which every number is under its own name."""
    data = "\n".join(lines).encode()
    log = read_log_bytes(data, "drive.csv")
    assert not list(faults(SOUND[name], data, log))
    return log


def changed(line: str, change) -> str:
    return ",".join(change(line.split(",")))


@pytest.mark.parametrize("name", SOUND)
@pytest.mark.parametrize("quick", [False, True])
def test_the_oracle_finds_nothing_in_a_sound_log(name, quick, monkeypatch):
    if quick:
        monkeypatch.setattr(reader, "WORTH", 0)
        monkeypatch.setattr(reader, "HEAD_LINES", 14)
    log = read_log_bytes(SOUND[name].data, "drive.csv")
    assert not list(faults(SOUND[name], SOUND[name].data, log))


def test_the_oracle_sees_columns_that_changed_places():
    # Two names swapped in what is handed to it, not in what is read.
    lines = lines_of("wide")
    swapped = lines[0].replace("Coolant", "#").replace("Oil Temp", "Coolant Temp")
    log = read([swapped.replace("# Temp", "Oil Temp"), *lines[1:]])
    assert {f.kind for f in faults(SOUND["wide"], SOUND["wide"].data, log)} == {"shifted"}


@pytest.mark.parametrize("seed", range(300))
def test_harmed_at_random(seed, monkeypatch):
    dice = random.Random(f"suite-{seed}")
    log = dice.choice(LOGS)
    data, done = damaged(log, LOGS, dice)
    if dice.random() < 0.5:
        monkeypatch.setattr(reader, "WORTH", 0)
        monkeypatch.setattr(reader, "HEAD_LINES", 14)
    try:
        found = read_log_bytes(data, "drive.csv")
    except UserError as fault:
        assert all((fault.where, fault.found, fault.wanted, fault.remedy))
    else:
        assert not list(faults(log, data, found)), (log.name, done)


def test_a_row_that_lost_a_delimiter_in_a_file_where_rows_end_in_one():
    # Its cells then fill the names exactly, each one place to the left.
    lines = lines_of("trailing-rows")
    lines[20] = lines[20].replace(",", "", 1)
    log = rightly_read("trailing-rows", lines)
    assert len(log.time) == 47
    assert any("too few cells" in note.said for note in log.notes)


def test_an_empty_cell_put_into_a_row_whose_last_cell_is_empty():
    lines = lines_of("polled")
    at = next(i for i, line in enumerate(lines[1:], 1) if line.endswith(","))
    lines[at] = changed(lines[at], lambda cells: [*cells[:2], "", *cells[2:]])
    log = rightly_read("polled", lines)
    assert any("one empty cell too many" in note.said for note in log.notes)


def test_cells_lost_in_many_rows_on_end_are_no_habit_of_the_logger():
    lines = lines_of("wide")
    lines[30:] = [changed(line, lambda cells: cells[:2] + cells[3:]) for line in lines[30:]]
    with pytest.raises(UserError, match="fewer cells"):
        read(lines)


def test_other_names_between_the_readings():
    with pytest.raises(UserError, match=r"line 50: other column names begin here"):
        read([*lines_of("wide")[:-1], *lines_of("permuted")])


def test_the_same_names_between_the_readings_are_skipped():
    lines = lines_of("wide")[:-1]
    log = rightly_read("wide", [*lines[:25], lines[0].replace("MAP", "MXP"), *lines[25:]])
    assert len(log.time) == 48


def test_a_row_of_units_that_lost_a_cell_gives_no_column_its_neighbours_unit():
    lines = lines_of("tab-units-below")
    lines[1] = lines[1].replace("\tkPa", "")
    log = rightly_read("tab-units-below", lines)
    assert any("row of units" in note.said for note in log.notes)


@pytest.mark.parametrize("extra", ["", "7", "Coolant Temp [°C]", "Fan State"])
def test_a_name_too_many_where_rows_end_in_a_delimiter(extra):
    lines = lines_of("trailing-rows")
    lines[0] = changed(lines[0], lambda names: [*names[:3], extra, *names[3:]])
    with pytest.raises(UserError, match="one column name too many"):
        read(lines)


def test_a_name_too_many_whose_empty_column_has_stray_cells():
    lines = lines_of("trailing-rows")
    lines[0] = changed(lines[0], lambda names: [*names[:4], names[3], *names[4:]])
    lines[20] += "-1"
    with pytest.raises(UserError, match="one column name too many"):
        read(lines)


def test_a_name_too_many_that_nothing_tells_is_refused_until_someone_has_looked():
    # Behind the last name but one only the empty column: which of those before is one too many?
    lines = lines_of("trailing-rows")
    lines[0] = changed(lines[0], lambda names: [*names[:8], "Gizmo", *names[8:]])
    with pytest.raises(UserError, match="is one too many"):
        read(lines)
    data = "\n".join(lines).encode()
    log = read_log_bytes(data, "drive.csv", ["Battery Voltage [V]=ignore"])
    assert not list(faults(SOUND["trailing-rows"], data, log))


def test_rows_written_twice_in_a_short_log_leave_its_time_alone():
    lines = lines_of("wide")[:11]
    log = rightly_read("wide", [*lines, *lines[1:]])
    assert len(log.time) == 10
    np.testing.assert_allclose(np.diff(log.time), 0.5)
    assert any("written twice" in note.said for note in log.notes)


def test_other_readings_at_times_that_were_passed_are_no_rows_out_of_order():
    lines = lines_of("wide")[:11]
    other = [line.replace(".", ".9", 2) for line in lines[1:]]
    with pytest.raises(UserError, match="time goes backwards"):
        read([*lines, *(line.replace("0.95", "0.5") for line in other)])


def test_a_row_with_zeros_inside_is_never_closed_up():
    # Eight bytes lost to zeros, a delimiter among them: the row then seems whole in this layout.
    lines = lines_of("trailing-rows")
    lines[27] = lines[27][:28] + "\0" * 8 + lines[27][36:]
    log = rightly_read("trailing-rows", lines)
    assert len(log.time) == 47
    assert any("zeros" in note.said for note in log.notes)


def test_a_few_readings_near_nought_do_not_make_a_manifold_count_from_the_atmosphere():
    lines = lines_of("wide")
    for at in (20, 21, 22, 23):
        lines[at] = changed(lines[at], lambda cells: [*cells[:4], "2.5", *cells[5:]])
    log = read(lines)
    assert np.nanmedian(log["manifold_pressure"]) < 90e3


def test_a_row_spliced_from_two_where_spaces_part_the_cells():
    lines = lines_of("spaces")
    cells = lines[30].split("  ")
    lines[30] = "  ".join([*cells[:5], f"9.2441H {cells[4]}", *cells[5:8]])
    assert len(rightly_read("spaces", lines).time) == 47


def test_a_last_column_without_a_sensor_is_no_fault():
    lines = lines_of("wide")
    lines[1:-1] = [changed(line, lambda cells: [*cells[:-1], ""]) for line in lines[1:-1]]
    assert "battery_voltage" not in rightly_read("wide", lines)


def test_a_header_one_name_short_that_ends_in_a_delimiter_as_the_rows_do():
    lines = lines_of("trailing-all")
    lines[0] = lines[0].replace(";Coolant Temp [°C]", "", 1)
    with pytest.raises(UserError, match="more cells than"):
        read(lines)


def test_a_delimiter_lost_between_two_quoted_cells():
    lines = lines_of("quoted")
    lines[10] = lines[10].replace('","', '""', 1)
    assert len(rightly_read("quoted", lines).time) == 47


@pytest.mark.parametrize("huge", ["9e999", "1e308", "9" * 400])
def test_a_number_without_end_is_taken_out(huge):
    lines = lines_of("no-units")
    lines[10] = changed(lines[10], lambda cells: [*cells[:4], huge, *cells[5:]])
    with np.errstate(all="raise"):
        log = read(lines)
    assert np.nanmax(log["manifold_pressure"]) < 1e5


def test_a_number_beyond_all_units_on_the_quick_way(monkeypatch):
    monkeypatch.setattr(reader, "WORTH", 0)
    monkeypatch.setattr(reader, "HEAD_LINES", 14)
    lines = lines_of("tab-units-below")
    lines[30] = lines[30].replace(lines[30].split("\t")[4], "1e308")
    with np.errstate(all="raise"):
        log = read(lines)
    assert np.nanmax(log["manifold_pressure"]) < 1e5


def test_what_no_screen_can_show_stays_out_of_the_message():
    with pytest.raises(UserError) as fault:
        read(["a\x18b c", "d"])
    assert "\x18" not in str(fault.value)


def test_a_block_of_a_bus_log_whose_checksum_fails_is_not_read():
    # Five bytes doubled inside the packed frames: those behind unpack to other numbers.
    containers = pytest.importorskip("benchmarks.damage.containers")
    sound = next(log for log in containers.containers() if log.name == "blf")
    data = sound.data[:2133] + sound.data[2128:]
    with pytest.raises(UserError, match="not one whole frame"):
        read_log_bytes(data, "drive.blf", buses=[containers.BUS])
    log = read_log_bytes(sound.data, "drive.blf", buses=[containers.BUS])
    assert not list(faults(sound, sound.data, log))


@pytest.mark.parametrize("rows", [3, 15])
def test_rows_parted_by_another_sign_than_the_rest_are_not_rows_that_stop_early(rows):
    lines = lines_of("double-header")
    ends = [line for line in lines if line]
    turned = ends[:-rows] + [line.replace(",", ";") for line in ends[-rows:]]
    if rows == 3:
        rightly_read("double-header", turned)
    else:
        with pytest.raises(UserError, match="parted by another sign"):
            read(turned)


def test_names_that_stand_one_column_off_their_units_are_refused():
    names, units, *rows = lines_of("tab-units-below")
    cells = names.split("\t")
    pushed = "\t".join([cells[0], "1.2345", *cells[1:4], *cells[5:]])
    with pytest.raises(UserError, match="names and units do not belong together"):
        read([pushed, units, *rows])
