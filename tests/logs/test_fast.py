"""The quick way in gives what the careful way gives, or steps back."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.logs.written import DRIVE, HEADER, ROWS, cells, read, same_drive, text
from witnessmark.errors import UserError
from witnessmark.logs import read as reading
from witnessmark.logs.delimited import fast, plain
from witnessmark.logs.read import read_log, read_log_bytes
from witnessmark.model.channel import How

LONG = text(cells())


@pytest.fixture
def quick(monkeypatch):
    """Every file is worth the quick way; counts how often it served."""
    served = []
    real = fast.read_fast

    def counted(*args):
        table = real(*args)
        served.append(table is not None)
        return table

    monkeypatch.setattr(reading, "WORTH", 0)
    monkeypatch.setattr(reading, "read_fast", counted)
    return served


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_tidy_log_goes_the_quick_way(quick, delimiter, end):
    same_drive(read(text(cells(), delimiter=delimiter, end=end)))
    assert quick == [True]


def test_decimal_commas_go_the_quick_way(quick):
    same_drive(read(text(cells(","), delimiter=";")))
    assert quick == [True]


def test_from_a_file_on_disk(quick, tmp_path):
    path = tmp_path / "drive.csv"
    path.write_text(LONG, encoding="utf-8-sig")
    log = read_log(path)
    same_drive(log)
    assert quick == [True]
    # sha256sum of the same bytes, by another road.
    assert log.source.sha256 == read_log_bytes(path.read_bytes(), "x").source.sha256
    assert log.source.size == path.stat().st_size


def test_times_of_day_and_dates_go_the_quick_way(quick):
    rows = [["2026-03-27", f"08:00:{i // 2:02}.{i % 2 * 5}", *r[1:]] for i, r in enumerate(cells())]
    same_drive(read(text(rows, ["Date", "Time", *HEADER[1:]])))
    assert quick == [True]


def test_blank_cells_and_words_for_nothing(quick):
    rows = cells()
    for i in range(1, ROWS, 3):
        rows[i][3], rows[i][6] = "NaN", ""
    assert np.isfinite(read(text(rows))["throttle_position"]).all()
    assert quick == [True]


@pytest.mark.parametrize(
    "spoil",
    [
        lambda rows: rows[40].pop(3),
        lambda rows: rows[40].insert(3, "17"),
        lambda rows: (rows[40].pop(3), rows[41].insert(3, "17")),
        lambda rows: rows[40].__setitem__(3, "ERR"),
        lambda rows: rows.insert(40, list(HEADER)),
        lambda rows: rows.insert(40, ["the end"]),
        lambda rows: [row.append("") for row in rows],
        lambda rows: rows[59].__delitem__(slice(4, None)),
        lambda rows: rows[40].__setitem__(3, "30,5 kPa"),
    ],
)
def test_an_untidy_log_reads_the_same_either_way(quick, spoil, monkeypatch):
    monkeypatch.setattr(reading, "HEAD_LINES", 20)  # the fault stands beyond the first rows
    rows = cells()
    spoil(rows)
    written = text(rows, delimiter=";")
    quickly = read(written)
    monkeypatch.setattr(reading, "WORTH", 10**9)
    carefully = read(written)
    assert quickly.notes == carefully.notes
    for name in carefully.channels:
        np.testing.assert_array_equal(quickly[name], carefully[name])


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.lists(
        st.tuples(st.integers(0, len(LONG) - 1), st.sampled_from(b'019.,-;\n"xN ')), max_size=6
    )
)
def test_both_ways_agree_whatever_is_damaged(flips):
    data = bytearray(LONG.encode())
    for at, value in flips:
        data[at] = value
    outcomes = []
    for worth in (0, 10**9):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(reading, "WORTH", worth)
            try:
                outcomes.append(read_log_bytes(bytes(data), "drive.csv"))
            except UserError as error:
                outcomes.append(str(error))
    quickly, carefully = outcomes
    if isinstance(carefully, str):
        assert quickly == carefully
        return
    assert quickly.channels.keys() == carefully.channels.keys()
    np.testing.assert_allclose(quickly.time, carefully.time, atol=1e-9)
    for name in carefully.channels:
        np.testing.assert_allclose(quickly[name], carefully[name], rtol=1e-12)


def test_the_quick_way_converts_to_si(quick):
    log = read(LONG)
    assert log["coolant_temperature"][0] == pytest.approx(DRIVE[1][2](0) + 273.15)
    assert quick == [True]


def needed(tmp_path, corrections=()):
    path = tmp_path / "drive.csv"
    path.write_text(text(cells()))
    return read_log(path, corrections, only=("engine_speed",))


def test_in_a_large_file_only_what_is_needed_is_read_and_the_rest_is_told(quick, tmp_path):
    log = needed(tmp_path)
    assert list(log.channels) == ["engine_speed"]
    assert quick == [True]
    unread = [c for c in log.columns if c.how is How.UNREAD]
    assert len(unread) == len(log.columns) - 2  # all but the time and the engine speed
    assert all("not needed here" in c.why for c in unread)


def test_a_column_named_by_the_user_is_read_all_the_same(quick, tmp_path):
    column = next(c.name for c in needed(tmp_path).columns if "oolant" in c.name)
    log = needed(tmp_path, corrections=[f"{column}=coolant_temperature:°C"])
    assert set(log.channels) == {"engine_speed", "coolant_temperature"}


@pytest.mark.parametrize("size", [60, 200, 1000])
def test_block_by_block_it_reads_the_same(quick, size, monkeypatch):
    # Blocks far smaller than the file: rows on each side of every cut, and columns that grow.
    monkeypatch.setattr(plain, "_LINES", size)
    monkeypatch.setattr(plain, "_ROOM", 0.3)
    same_drive(read(LONG))
    rows = [["2026-03-27", f"08:00:{i // 2:02}.{i % 2 * 5}", *r[1:]] for i, r in enumerate(cells())]
    same_drive(read(text(rows, ["Date", "Time", *HEADER[1:]])))
    assert quick == [True, True]
