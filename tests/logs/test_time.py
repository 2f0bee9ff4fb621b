"""Time in every form, and time that misbehaves."""

from datetime import datetime

import numpy as np
import pytest

from tests.logs.written import HEADER, ROWS, STEP, cells, read, said, same_drive, text
from witnessmark.errors import UserError

DAY_START = 8 * 3600 + 19 * 60 + 47


def with_time(header: str, stamps: list[str], delimiter: str = ",") -> str:
    rows = [[stamp, *row[1:]] for stamp, row in zip(stamps, cells(), strict=True)]
    return text(rows, [header, *HEADER[1:]], delimiter)


def clock(seconds: float, shape: str) -> str:
    whole, part = divmod(round(seconds * 1000), 1000)
    h, m, s = whole // 3600 % 24, whole // 60 % 60, whole % 60
    half = "AM" if h < 12 else "PM"
    return shape.format(h=h, h12=(h - 1) % 12 + 1, m=m, s=s, ms=part, half=half, mm=whole // 60)


TIMES = [STEP * i for i in range(ROWS)]


@pytest.mark.parametrize(
    ("header", "factor"),
    [
        ("Time [s]", 1),
        ("Time (sec)", 1),
        ("Seconds", 1),
        ("t", 1),
        ("Elapsed time", 1),
        ("Time [ms]", 1000),
        ("Time_ms", 1000),
        ("milliseconds", 1000),
        ("Timestamp", 1000),
        ("Time", 1000),
        ("Time [µs]", 1e6),
        ("time_us", 1e6),
        ("Time", 1e6),
        ("Time [min]", 1 / 60),
        ("Zeit", 1),
        ("Temps", 1),
        ("Tiempo", 1),
        ("Tempo", 1),
        ("Tijd", 1),
    ],
)
def test_numbers(header, factor):
    stamps = [f"{(5 + t) * factor:.10g}" for t in TIMES]
    log = read(with_time(header, stamps))
    np.testing.assert_allclose(log.time, TIMES, atol=1e-6)


@pytest.mark.parametrize(
    "shape",
    [
        "{h:02}:{m:02}:{s:02}.{ms:03}",
        "{h:02}:{m:02}:{s:02},{ms:03}",
        "{h:02}:{m:02}:{s:02}:{ms:03}",
        "{h12}:{m:02}:{s:02}.{ms:03} {half}",
        "2026-03-27 {h:02}:{m:02}:{s:02}.{ms:03}",
        "2026-03-27T{h:02}:{m:02}:{s:02}.{ms:03}Z",
        "27.03.2026 {h:02}:{m:02}:{s:02},{ms:03}",
        "03/27/2026 {h12}:{m:02}:{s:02}.{ms:03} {half}",
        "27-Mar-2026 {h:02}:{m:02}:{s:02}.{ms:03}",
        "{mm}:{s:02}.{ms:03}",
    ],
)
def test_clocks(shape):
    stamps = [clock(DAY_START + t, shape) for t in TIMES]
    same_drive(read(with_time("Time", stamps, ";")))


def test_the_day_it_started_is_kept():
    stamps = [clock(DAY_START + t, "2026-03-27T{h:02}:{m:02}:{s:02}.{ms:03}") for t in TIMES]
    assert read(with_time("Time", stamps)).started == datetime(2026, 3, 27, 8, 19, 47)


@pytest.mark.parametrize(("factor", "digits"), [(1, 3), (1000, 0)])
def test_epoch(factor, digits):
    stamps = [f"{(1774599587 + t) * factor:.{digits}f}" for t in TIMES]
    log = read(with_time("Timestamp", stamps))
    np.testing.assert_allclose(log.time, TIMES, atol=1e-3)
    # date -u -d @1774599587
    assert log.started == datetime(2026, 3, 27, 8, 19, 47)


def test_date_and_time_in_two_columns_over_midnight():
    start = 86_400 - 10
    rows = []
    for t, row in zip(TIMES, cells(), strict=True):
        day = "2026-03-27" if start + t < 86_400 else "2026-03-28"
        rows.append([day, clock(start + t, "{h:02}:{m:02}:{s:02}.{ms:03}"), *row[1:]])
    log = read(text(rows, ["Date", "Time", *HEADER[1:]]))
    same_drive(log)
    assert log.started == datetime(2026, 3, 27, 23, 59, 50)


@pytest.mark.parametrize(
    "shape", ["{h:02}:{m:02}:{s:02}.{ms:03}", "{h12}:{m:02}:{s:02}.{ms:03} {half}"]
)
def test_midnight_without_a_date(shape):
    stamps = [clock(86_400 - 10 + t, shape) for t in TIMES]
    log = read(with_time("Time", stamps))
    same_drive(log)
    assert "midnight" in said(log)


def test_a_restart_is_appended_after_a_pause():
    rows = cells()
    second = [[*row] for row in rows]
    log = read(text(rows + second))
    assert len(log.time) == 2 * ROWS
    assert np.all(np.diff(log.time) > 0)
    assert "starts again" in said(log)
    # The pause stands for nothing: what counts is the two drives' length, one step each at the end.
    assert log.held.sum() == pytest.approx(2 * ROWS * STEP)


def test_a_row_out_of_order_is_sorted_and_said():
    rows = cells()
    rows[30], rows[31] = rows[31], rows[30]
    log = read(text(rows))
    same_drive(log)
    assert "out of order" in said(log)


def test_newest_row_first_is_turned_around():
    log = read(text(cells()[::-1]))
    same_drive(log)
    assert "turned around" in said(log)


def test_time_that_jumps_back_and_forth_is_refused():
    stamps = [f"{(i * 37) % 60 + 20 * (i % 3):g}" for i in range(ROWS)]
    with pytest.raises(UserError, match="time goes backwards"):
        read(with_time("Time [s]", stamps))


def test_a_repeated_row_is_kept_once():
    rows = cells()
    log = read(text([*rows[:10], rows[9], *rows[10:]]))
    same_drive(log)
    assert "repeated stamp" in said(log)


def test_a_clock_of_whole_seconds_is_spread():
    stamps = [clock(DAY_START + int(t), "{h:02}:{m:02}:{s:02}") for t in TIMES]
    log = read(with_time("Time", stamps))
    same_drive(log)
    assert "spread evenly" in said(log)


def test_no_time_column_is_refused_with_the_names():
    rows = [row[1:] for row in cells()]
    with pytest.raises(UserError, match=r"no time column among .*'TPS \[%\]'.*=time:s"):
        read(text(rows, HEADER[1:]))


def test_the_user_names_the_time_column():
    header = ["Count", *HEADER[1:]]
    same_drive(read(text(cells(), header), "Count=time:s"))


def test_a_clock_that_stands_still_is_refused():
    with pytest.raises(UserError, match="time"):
        read(with_time("Time [s]", ["12.5"] * ROWS))


def test_a_clock_that_was_set_is_refused():
    stamps = [f"{t + (1e6 if i > 30 else 0):g}" for i, t in enumerate(TIMES)]
    with pytest.raises(UserError, match=r"jumps .* h forward"):
        read(with_time("Time [s]", stamps))


def test_rows_without_a_time_are_left_out_and_counted():
    stamps = [f"{t:g}" for t in TIMES]
    stamps[20] = stamps[21] = "?"
    log = read(with_time("Time [s]", stamps))
    same_drive(log, [i for i in range(ROWS) if i not in (20, 21)])
    assert len(log.time) == ROWS - 2
    assert "2 rows without a time" in said(log)


def test_other_time_columns_are_named_and_not_used():
    rows = [[row[0], "08:00:00", *row[1:]] for row in cells()]
    log = read(text(rows, ["Time [s]", "GPS Time", *HEADER[1:]]))
    same_drive(log)
    assert "another time" in said(log)


def test_injection_time_is_not_the_time():
    rows = [["3.2", *row] for row in cells()]
    same_drive(read(text(rows, ["Injection time [ms]", *HEADER])))
