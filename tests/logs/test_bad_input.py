"""Bad input: one clear error or a stated repair each, as issue 2 lists them."""

import numpy as np
import pytest

from tests.logs.written import DRIVE, HEADER, ROWS, cells, column, read, said, same_drive, text
from witnessmark.errors import UserError, UserErrors
from witnessmark.logs.read import read_log, read_log_bytes


def refused(data: bytes | str, *corrections: str) -> str:
    """The one line a user sees."""
    data = data.encode() if isinstance(data, str) else data
    with pytest.raises(UserError) as caught:
        read_log_bytes(data, "drive.csv", corrections)
    error = caught.value
    assert not isinstance(error, UserErrors)
    for part in (error.where, error.found, error.wanted, error.remedy):
        assert part.strip()
    assert "\n" not in str(error)
    return str(error)


def test_empty_file():
    assert "empty" in refused(b"")


def test_blank_file():
    assert "only blank lines" in refused("\n\n  \n;;;\n")


def test_header_only():
    assert "no readings" in refused(",".join(HEADER) + "\n")


def test_one_row():
    assert "single row" in refused(text(cells(rows=1)))


@pytest.mark.parametrize("nothing", ["NaN", "", "-", "N/A", "null", "#N/A", "---"])
def test_no_readings_at_all(nothing):
    rows = [[row[0], *[nothing] * len(DRIVE)] for row in cells()]
    assert "not one reading" in refused(text(rows))


def test_nothing_known():
    rows = [row[:3] for row in cells()]
    message = refused(text(rows, ["Time [s]", "Foo", "Bar [kg]"]))
    assert "'Foo'" in message and "'Bar [kg]'" in message
    assert "--channel" in message


@pytest.mark.parametrize(
    ("magic", "word"),
    [
        (b"%PDF-1.7\n1 0 obj\n", "PDF"),
        (b"PK\x03\x04\x14\x00", "zip"),
        (b"\x1f\x8b\x08\x00", "gzip"),
        (b"MDF     4.10    ", "MDF"),
        (b"UnFinMF 4.11    ", "MDF"),
        (b"PAR1\x15\x04", "Parquet"),
        (b"<!DOCTYPE html><html>", "web page"),
    ],
)
def test_files_that_are_no_text_log(magic, word):
    assert word in refused(magic + bytes(range(256)) * 20)


def test_bytes_without_meaning():
    noise = np.random.default_rng(1).integers(0, 256, 5000, dtype=np.uint8).tobytes()
    assert "binary" in refused(noise)


def test_prose():
    assert "no columns" in refused("This is a letter.\nIt has lines.\nBut no columns\n")


def test_a_missing_file_and_a_folder(tmp_path):
    with pytest.raises(UserError, match="No such file"):
        read_log(tmp_path / "none.csv")
    with pytest.raises(UserError, match="folder"):
        read_log(tmp_path)


def test_a_ten_thousand_character_line_above_the_header_is_skipped():
    same_drive(read("x" * 10_000 + "\n" + text(cells())))


def test_a_ten_thousand_character_cell_costs_that_cell_only():
    rows = cells()
    rows[20][6] = "x" * 10_000
    log = read(text(rows))
    assert len(log.time) == ROWS
    assert column(log, "TPS [%]").shown == pytest.approx((ROWS - 1) / ROWS)
    assert "1 cells are no number" in said(log) or "1 cell is no number" in said(log)


def test_a_line_without_end():
    assert "characters long" in refused(text(cells()) + "1," * 200_000)
    assert "characters long" in refused("x" * 200_000)


@pytest.mark.parametrize("blank", ["", "NaN", "-", "N/A", "null", "#N/A", "inf"])
def test_blank_cells_are_blank_without_a_word(blank):
    rows = cells()
    for i in range(0, ROWS, 2):
        rows[i][3] = blank
    log = read(text(rows))
    assert column(log, "MAP [kPa]").shown == pytest.approx(0.5)
    assert "no number" not in said(log)


def test_words_in_a_used_column_are_counted_and_quoted():
    rows = cells()
    rows[5][3] = rows[6][3] = "ERR 7"
    log = read(text(rows))
    assert column(log, "MAP [kPa]").shown == pytest.approx((ROWS - 2) / ROWS)
    assert "'ERR 7'" in said(log)


def test_a_column_of_words_is_set_aside_with_the_reason():
    rows = [[*row[:6], "wide open" if i % 4 else row[6]] for i, row in enumerate(cells())]
    log = read(text(rows))
    assert "throttle_position" not in log
    assert "words, not numbers" in column(log, "TPS [%]").why


def test_on_and_off_are_numbers():
    rows = [[*row[:6], "On" if i % 2 else "Off"] for i, row in enumerate(cells())]
    log = read(text(rows), "TPS [%]=throttle_position:%")
    assert set(np.round(log["throttle_position"], 6)) == {0.0, 0.01}
    assert "On and Off read as 1 and 0" in said(log)


@pytest.mark.parametrize(
    ("big", "delimiter"), [("1,234", ";"), ("1.234", ";"), ("1 234", ";"), ("1'234", ";")]
)
def test_thousands_signs(big, delimiter):
    # Below 1,000 the engine speed is written plain, above with a sign: so it groups thousands.
    rows = cells(",")
    for i, row in enumerate(rows):
        row[1] = str(850 + i) if i < 30 else big
    log = read(text(rows, delimiter=delimiter))
    assert log["engine_speed"][40] == pytest.approx(1234 / 60)
    assert log["engine_speed"][10] == pytest.approx(860 / 60)


def test_thousands_in_quotes_between_commas():
    rows = cells()
    for i, row in enumerate(rows):
        row[1] = str(850 + i) if i < 30 else '"1,234.5"'
    log = read(text(rows))
    assert log["engine_speed"][40] == pytest.approx(1234.5 / 60)


def test_a_null_byte_does_not_shift_anything():
    # Nobody knows what stood there: the row goes, and nothing moves up in its place.
    rows = cells()
    rows[7][2] = rows[7][2] + "\0"
    log = read(text(rows))
    same_drive(log, [i for i in range(len(rows)) if i != 7])


@pytest.mark.parametrize(
    ("option", "word"),
    [
        ("RPM engine_speed", "no correction"),
        ("Foo [x]=engine_speed:rpm", "'Engine Speed [rpm]'"),
        ("TPS [%]=throttle:%", "throttle_position"),
        ("MAP [kPa]=manifold_pressure:furlong", "its units are"),
        ("TPS [%]=coolant_temperature", "no unit of temperature"),
    ],
)
def test_corrections_that_fit_nothing(option, word):
    assert word in refused(text(cells()), option)


def test_corrections_take_a_column_and_leave_one_out():
    header = [*HEADER[:6], "Schalter 3"]
    log = read(text(cells(), header), "schalter 3=throttle_position:%", "MAP [kPa]=ignore")
    assert "manifold_pressure" not in log
    assert log["throttle_position"][3] == pytest.approx(DRIVE[5][2](3) / 100)
    assert column(log, "Schalter 3").how.value == "told by you"
    assert column(log, "MAP [kPa]").channel is None


def test_a_column_name_may_hold_an_equals_sign():
    header = [*HEADER[:6], "a=b"]
    log = read(text(cells(), header), "a=b=throttle_position:%")
    assert "throttle_position" in log
