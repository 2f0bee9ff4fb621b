"""Layouts that loggers, spreadsheets and people write, invented here: each value read is checked.

Every case lays out the drive of `written`; a reader that shifts a column, a row or a decimal sign
shows other numbers.
"""

import numpy as np
import pytest

from tests.logs.written import (
    DRIVE,
    HEADER,
    ROWS,
    STEP,
    cells,
    column,
    number,
    read,
    said,
    same_drive,
    text,
)
from witnessmark.errors import UserError

NAMES = [h.split(" [")[0] for h in HEADER]
UNITS = [h.split("[")[1][:-1] for h in HEADER]


def lines(rows, delimiter=","):
    return [delimiter.join(row) for row in rows]


def block(*parts, end="\n"):
    """Header lines and rows of readings as one text."""
    return "".join(line + end for part in parts for line in part)


# Header rows


def test_a_row_of_kinds_beside_the_units():
    kinds = ["float", "int", "float", "float", "float", "float", "float"]
    same_drive(read(block(lines([NAMES, UNITS, kinds, *cells()]))))


def test_two_rows_of_units():
    again = ["sec", "1/min", "degC", "kPa", "bar", "kmh", "pct"]
    same_drive(read(block(lines([NAMES, UNITS, again, *cells()]))))


def test_units_in_the_third_row():
    short = ["T", "NMOT", "TMOT", "PSR", "POEL", "V", "WDK"]
    same_drive(read(block(lines([NAMES, short, UNITS, *cells()]))))


def test_groups_above_the_names():
    groups = ["", "Engine", "", "", "", "Chassis", ""]
    same_drive(read(block(lines([groups, HEADER, *cells()]))))


def test_a_ruler_below_the_names():
    ruler = ["-----"] * len(HEADER)
    same_drive(read(block(lines([HEADER, ruler, *cells()]))))


def test_names_that_hold_the_delimiter():
    quoted = ['"Time, elapsed [s]"', *(f'"{h}"' for h in HEADER[1:])]
    quoted[5] = '"Speed, vehicle [km/h]"'
    log = read(block([",".join(quoted)], lines(cells())))
    assert log["road_speed"][7] == pytest.approx(DRIVE[4][2](7) / 3.6)
    assert log["throttle_position"][7] == pytest.approx(DRIVE[5][2](7) / 100)


def test_a_block_of_keys_and_values_above():
    above = ["Logger;4711", "Interval;0,5", "Channels;6", "Start;04.05.2026", "Engine;heron", ""]
    rows = lines(cells(","), ";")
    log = read(block(above, [";".join(HEADER)], rows))
    same_drive(log)
    assert "above the column names skipped" in said(log)


def test_a_block_of_keys_and_values_as_wide_as_the_rows():
    above = ["Logger,4711,,,,,", "Interval,0.5,s,,,,", "Limits,1,2,3,4,5,6", ",,,,,,"]
    same_drive(read(block(above, [",".join(HEADER)], lines(cells()))))


def test_an_empty_name_with_readings_and_one_without():
    header = [*HEADER[:3], "", *HEADER[3:5], "", *HEADER[5:]]
    rows = [[*r[:3], "7", *r[3:5], "", *r[5:]] for r in cells()]
    log = read(block(lines([header, *rows])))
    same_drive(log)
    assert column(log, "column 4").channel is None


def test_the_header_again_after_each_restart():
    head, rows = [",".join(HEADER)], lines(cells())
    log = read(block(head, rows[:30], head, rows[:30]))
    assert len(log.time) == 60
    speed = np.array([DRIVE[0][2](i) / 60 for i in range(30)])
    np.testing.assert_allclose(log["engine_speed"], np.tile(speed, 2))
    assert "starts again" in said(log) and "column names repeated" in said(log)


# Rows


def test_remarks_before_and_between():
    rows = lines(cells())
    log = read(block(["# made by a logger", "# 6 channels"], [",".join(HEADER)], rows[:20],
                     ["# driver: pit stop", "% lap 2"], rows[20:]))  # fmt: skip
    same_drive(log)


def test_rows_that_begin_with_the_delimiter():
    # The header too: an empty first column, nothing shifts.
    same_drive(read(block(["," + ",".join(HEADER)], ["," + r for r in lines(cells())])))


def test_rows_that_begin_with_a_delimiter_their_header_has_not_are_never_shifted():
    written = block([",".join(HEADER)], ["," + r for r in lines(cells())])
    try:
        log = read(written)
    except UserError:
        return
    same_drive(log)


def test_a_line_of_its_own_at_the_end():
    same_drive(read(block([",".join(HEADER)], lines(cells()), ["EOF"])))
    same_drive(read(block([",".join(HEADER)], lines(cells()), ["", "Rows: 60", "Errors: 0"])))


def test_sums_below_the_readings_are_no_reading():
    mean = ["Mean", *["900"] * 6]
    log = read(block(lines([HEADER, *cells(), mean])))
    same_drive(log)


def test_spaces_around_every_cell():
    same_drive(read(block(["  ,  ".join(HEADER)], ["  ,  ".join(r) for r in cells()])))


def test_tabs_and_quotes():
    head = "\t".join(f'"{h}"' for h in HEADER)
    same_drive(read(block([head], ["\t".join(f'"{c}"' for c in r) for r in cells()])))


# Numbers


def german(value: float) -> str:
    return f"{value:,.2f}".replace(",", "_").replace(".", ",").replace("_", ".")


def test_thousands_dots_and_decimal_commas():
    rows = [[german(STEP * i), *(german(v(i)) for _, _, v, _ in DRIVE)] for i in range(ROWS)]
    same_drive(read(block([";".join(HEADER)], lines(rows, ";"))))


def test_whole_thousands_with_dots_beside_decimal_commas():
    rows = cells(",")
    for i, row in enumerate(rows):
        row[1] = f"{900 + 20 * i:,}".replace(",", ".")  # 900, 920, ... 1.000, 1.020
    log = read(block([";".join(HEADER)], lines(rows, ";")))
    np.testing.assert_allclose(log["engine_speed"] * 60, [900 + 20 * i for i in range(ROWS)])


def test_thousands_with_narrow_spaces():
    rows = cells()
    for i, row in enumerate(rows):
        row[1] = f"{900 + 20 * i:,}".replace(",", "\u202f")
    log = read(block([";".join(HEADER)], lines(rows, ";")))
    np.testing.assert_allclose(log["engine_speed"] * 60, [900 + 20 * i for i in range(ROWS)])


def test_units_glued_to_the_numbers():
    glued = ["s", "rpm", "°C", "kPa", "bar", "km/h", "%"]
    names = ["Time", "Engine Speed", "Coolant Temp", "MAP", "Oil Pressure", "Vehicle Speed", "TPS"]
    rows = [[c + u for c, u in zip(r, glued, strict=True)] for r in cells()]
    log = read(block(lines([names, *rows])))
    same_drive(log)
    assert "units inside the cells" in said(log)


def test_signs_exponents_and_zeros_in_front():
    rows = [[c[0], f"+{v:.6E}", f"{x:08.2f}", *c[3:]] for c, v, x in (
        (c, float(c[1]), float(c[2])) for c in cells())]  # fmt: skip
    same_drive(read(block(lines([HEADER, *rows]))))


def test_figures_of_base_16_are_not_guessed():
    rows = [[*r[:1], f"0x{int(float(r[1])):X}", *r[2:]] for r in cells()]
    log = read(block(lines([HEADER, *rows])))
    assert "engine_speed" not in log
    assert "words, not numbers" in column(log, HEADER[1]).why


@pytest.mark.parametrize("nothing", ["", "nan", "NaN", "-", "---", "N/A", "null", "#N/A", "inf"])
def test_words_for_no_reading_here_and_there(nothing):
    rows = cells()
    for i in range(0, ROWS, 7):
        rows[i][2] = nothing
    log = read(block(lines([HEADER, *rows])))
    fresh = log.fresh["coolant_temperature"]
    assert fresh.tolist() == [i % 7 != 0 for i in range(ROWS)]


@pytest.mark.parametrize("nothing", ["-9999", "65535", "999999", "-32768"])
def test_numbers_that_say_no_reading(nothing):
    rows = cells()
    for i in range(3, ROWS, 7):
        rows[i][2] = nothing
    log = read(block(lines([HEADER, *rows])))
    values = log["coolant_temperature"][log.fresh["coolant_temperature"]] - 273.15
    want = [DRIVE[1][2](i) for i in range(ROWS) if i % 7 != 3]
    np.testing.assert_allclose(values, want)


@pytest.mark.parametrize(
    ("on", "off"),
    [("On", "Off"), ("TRUE", "FALSE"), ("yes", "no"), ("Ein", "Aus"), ("pressed", "released"),
     ("Pressed", "Not pressed"), ("ENABLED", "DISABLED")],
)  # fmt: skip
def test_switches_in_words(on, off):
    rows = [[*r, on if i // 5 % 2 else off] for i, r in enumerate(cells())]
    log = read(block(lines([[*HEADER, "Brake Switch"], *rows])))
    same_drive(log)
    np.testing.assert_array_equal(log["brake_switch"], [i // 5 % 2 for i in range(ROWS)])


# Time


def stamped(header: str, stamps: list[str], delimiter: str = ",", decimal: str = ".") -> str:
    rows = [[s, *r[1:]] for s, r in zip(stamps, cells(decimal), strict=True)]
    return block(lines([[header, *HEADER[1:]], *rows], delimiter))


def clock(i: int, start: float = 12 * 3600 + 34 * 60 + 56, sign: str = ".") -> str:
    s = (start + STEP * i) % 86_400
    return f"{int(s // 3600):02}:{int(s // 60 % 60):02}:{s % 60:06.3f}".replace(".", sign)


def test_a_clock_with_a_comma_before_the_milliseconds():
    same_drive(read(stamped("Time", [clock(i, sign=",") for i in range(ROWS)], ";", ",")))


def test_a_clock_with_a_comma_between_commas_is_never_shifted():
    stamps = [clock(i, sign=",") for i in range(ROWS)]
    try:
        log = read(stamped("Time", stamps))
    except UserError:
        return
    same_drive(log)


@pytest.mark.parametrize("zone", ["Z", "+02:00", "-0500"])
def test_dates_with_a_zone(zone):
    same_drive(read(stamped("time", [f"2026-05-04T{clock(i)}{zone}" for i in range(ROWS)])))


def test_milliseconds_since_1970():
    stamps = [str(1_777_890_000_000 + 500 * i) for i in range(ROWS)]
    log = read(stamped("timestamp", stamps))
    same_drive(log)
    assert str(log.started) == "2026-05-04 10:20:00"


def test_seconds_and_milliseconds_in_two_columns():
    # Whole seconds stand in the one, the rest in the other: the parts belong together.
    rows = [[str(100 + i // 2), str(500 * (i % 2)), *r[1:]] for i, r in enumerate(cells())]
    log = read(block(lines([["Time [s]", "Time [ms]", *HEADER[1:]], *rows])))
    same_drive(log)


def test_a_time_of_day_and_its_milliseconds_in_two_columns():
    rows = [[clock(i)[:8], str(500 * (i % 2)), *r[1:]] for i, r in enumerate(cells())]
    log = read(block(lines([["Time", "ms", *HEADER[1:]], *rows])))
    same_drive(log)


def test_twelve_hours_over_noon_and_midnight():
    for start in (12 * 3600 - 10, 24 * 3600 - 10):
        stamps = []
        for i in range(ROWS):
            s = (start + STEP * i) % 86_400
            h = int(s // 3600)
            half = "PM" if h >= 12 else "AM"
            stamps.append(f"{h % 12 or 12}:{int(s // 60 % 60):02}:{s % 60:04.1f} {half}")
        same_drive(read(stamped("Time", stamps)))


def minutes_log(first: int, rows: int, seconds: float) -> str:
    """Stamps of two parts only, one each so many units of the second part."""
    table = []
    for i in range(rows):
        total = first + int(i * seconds)
        table.append([f"{total // 60:02}:{total % 60:02}", *cells()[i % ROWS][1:]])
    return block(lines([["Time", *HEADER[1:]], *table]))


def test_two_parts_that_pass_60_are_minutes_and_seconds():
    # 23:50, 23:51 ... 24:30: no clock of hours and minutes goes on to 24:30.
    log = read(minutes_log(23 * 60 + 50, 41, 1))
    assert log.time[-1] == 40
    assert "minutes and seconds" in said(log)


def test_two_parts_that_move_as_seconds_do_are_minutes_and_seconds():
    # 05:00 to 12:19, a row each unit: a log of 7 h with a row a minute shows no driving.
    log = read(minutes_log(5 * 60, 440, 1))
    assert log.time[-1] == 439
    assert "minutes and seconds" in said(log)


def test_two_parts_that_stand_still_for_a_minute_are_a_clock():
    # Several rows share a stamp, as those of a clock that shows no seconds do.
    rows = [[f"10:{15 + i // 30:02}", *r[1:]] for i, r in enumerate(cells())]
    log = read(block(lines([["Time", *HEADER[1:]], *rows])))
    assert log.time[-1] == pytest.approx(60, abs=61)
    assert "spread evenly" in said(log)


def test_milliseconds_called_seconds():
    log = read(stamped("Time [ms]", [f"{0.02 * i:.2f}" for i in range(ROWS)]))
    np.testing.assert_allclose(log.time, 0.02 * np.arange(ROWS), atol=1e-9)
    assert "only makes sense in seconds" in said(log)


# One reading a row


def long_lines(form, sign="."):
    return [
        form(number(STEP * i, sign), header.split(" [")[0], number(value(i), sign), header)
        for i in range(ROWS)
        for header, _, value, _ in DRIVE
    ]


def unit_of(header: str) -> str:
    return header.split("[")[1][:-1]


def test_long_with_the_control_unit_in_a_column():
    rows = long_lines(lambda t, n, v, h: f"{t};ECM;{n};{v};{unit_of(h)}")
    log = read(block(["Time [s];Device;Signal;Value;Unit"], rows))
    same_drive(log)


def test_long_with_a_number_of_the_instance():
    rows = long_lines(lambda t, n, v, h: f"{t},1,{n},{v},{unit_of(h)}")
    same_drive(read(block(["Time [s],Instance,Name,Value,Unit"], rows)))


def test_long_with_decimal_commas_and_units_in_the_cells():
    rows = long_lines(lambda t, n, v, h: f"{t};{n};{v} {unit_of(h)}", ",")
    same_drive(read(block(["Zeit [s];Name;Wert"], rows)))


def test_long_with_an_extra_empty_cell_at_the_end():
    rows = long_lines(lambda t, n, v, h: f"{t};{n};{v};{unit_of(h)};")
    same_drive(read(block(["Time [s];Name;Value;Unit"], rows)))


def test_long_with_a_switch_among_the_numbers():
    rows = long_lines(lambda t, n, v, h: f"{t},{n},{v},{unit_of(h)}")
    switches = [f"{STEP * i:g},Brake Switch,{'On' if i % 2 else 'Off'}," for i in range(ROWS)]
    mixed = sorted([*rows, *switches], key=lambda r: float(r.split(",")[0]))
    log = read(block(["Time [s],Name,Value,Unit"], mixed))
    same_drive(log)
    np.testing.assert_array_equal(log["brake_switch"], [i % 2 for i in range(ROWS)])


def test_long_with_the_value_before_the_name():
    rows = long_lines(lambda t, n, v, h: f"{v}\t{unit_of(h)}\t{n}\t{t}")
    same_drive(read(block(["value\tunit\tsignal\ttime [s]"], rows)))


# Encodings


@pytest.mark.parametrize(
    "codec", ["utf-16", "utf-16-le", "cp1252", "latin-1", "cp1250", "cp437", "cp850", "mac_roman"]
)
def test_degrees_in_old_code_pages(codec):
    header = [h.replace("Coolant Temp", "Kühlmitteltemperatur") for h in HEADER]
    same_drive(read(text(cells(), header), codec=codec))


def test_a_second_byte_order_mark_where_files_were_joined():
    rows = lines(cells())
    written = "\ufeff" + block([",".join(HEADER)], rows[:30])
    written += "\ufeff" + block([",".join(HEADER)], rows[30:])
    same_drive(read(written))


@pytest.mark.parametrize(("codec", "sign"), [("gb18030", "℃"), ("shift_jis", "℃")])
def test_the_degree_sign_of_eastern_code_pages(codec, sign):
    header = [h.replace("°C", sign) for h in HEADER]
    same_drive(read(text(cells(), header), codec=codec))


def test_seconds_and_uneven_milliseconds_in_two_columns():
    ms = [(i * 137) % 400 + 500 * (i % 2) for i in range(ROWS)]
    rows = [[str(100 + i // 2), str(ms[i]), *r[1:]] for i, r in enumerate(cells())]
    log = read(block(lines([["Time [s]", "ms", *HEADER[1:]], *rows])))
    want = np.array([i // 2 + ms[i] / 1000 for i in range(ROWS)])
    np.testing.assert_allclose(log.time, want - want[0], atol=1e-9)
