"""The same drive, however it is laid out, reads back as the same numbers."""

import pytest

from tests.logs.written import (
    DRIVE,
    HEADER,
    ROWS,
    STEP,
    cells,
    column,
    read,
    said,
    same_drive,
    text,
)
from witnessmark.errors import UserError


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_every_delimiter(delimiter):
    same_drive(read(text(cells(), delimiter=delimiter)))


@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
def test_decimal_commas(delimiter):
    same_drive(read(text(cells(","), delimiter=delimiter)))


def test_decimal_commas_in_quotes_between_commas():
    rows = [[f'"{cell}"' for cell in row] for row in cells(",")]
    same_drive(read(text(rows)))


def test_mixed_decimal_signs_by_column():
    rows = [[c.replace(".", ",") if i % 2 else c for i, c in enumerate(r)] for r in cells()]
    same_drive(read(text(rows, delimiter=";")))


def test_mixed_decimal_signs_by_row():
    rows = [[c.replace(".", ",") if i % 3 else c for c in r] for i, r in enumerate(cells())]
    same_drive(read(text(rows, delimiter=";")))


@pytest.mark.parametrize(
    "codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"]
)
def test_every_encoding(codec):
    same_drive(read(text(cells()), codec=codec))


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end(end):
    same_drive(read(text(cells(), end=end)))


@pytest.mark.parametrize("degree", ["Â°C", "℃", "â„ƒ", "deg C", "ºC"])
def test_degree_signs_decoded_twice_or_as_one_character(degree):
    header = [h.replace("°C", degree) for h in HEADER]
    log = read(text(cells(), header))
    same_drive(log)
    assert "coolant_temperature" in log


def test_preamble_before_the_header():
    preamble = "Log of a drive, third try\n\nLogger: 3\nSamples,60\nCar;grey\n# done\n"
    log = read(preamble + text(cells()))
    same_drive(log)
    assert "above the column names skipped" in said(log)


def test_preamble_that_looks_like_two_columns_of_numbers():
    preamble = "Samples,60\nOdometer,12345\nInterval,500\n"
    rows = [row[:2] for row in cells()]
    log = read(preamble + text(rows, HEADER[:2]))
    assert len(log.time) == ROWS
    assert log["engine_speed"][1] == pytest.approx(DRIVE[0][2](1) / 60)


@pytest.mark.parametrize("above", [False, True])
def test_unit_row(above):
    names = ["Time", "Engine Speed", "Coolant Temp", "MAP", "Oil Pressure", "Vehicle Speed", "TPS"]
    units = ["s", "rpm", "°C", "kPa", "bar", "km/h", "%"]
    first, second = (units, names) if above else (names, units)
    same_drive(read(text([second, *cells()], first)))


def test_unit_row_in_brackets():
    names = ["Time", "Engine Speed", "Coolant Temp", "MAP", "Oil Pressure", "Vehicle Speed", "TPS"]
    units = ["[s]", "[rpm]", "[°C]", "[kPa]", "[bar]", "[km/h]", "[%]"]
    same_drive(read(text([units, *cells()], names)))


@pytest.mark.parametrize(
    "header",
    [
        "Time (s),Engine Speed (rpm),Coolant Temp (°C),MAP (kPa),Oil Pressure (bar),Speed (km/h),"
        "TPS (%)",
        "t_s,rpm,coolant_C,map_kpa,oilp_bar,speed_kmh,tps_pct",
        "time s,engine speed rpm,coolant temp C,MAP kPa,oil pressure bar,vehicle speed km/h,TPS %",
        "Zeit [s],Motordrehzahl [1/min],Kühlmitteltemperatur [°C],Saugrohrdruck [kPa],"
        "Öldruck [bar],"
        "Geschwindigkeit [km/h],Drosselklappe [%]",
        "Temps (s),Régime moteur (tr/min),Température liquide de refroidissement (°C),"
        "Pression collecteur admission (kPa),Pression huile (bar),Vitesse véhicule (km/h),"
        "Position papillon (%)",
        "Tiempo (s),Régimen motor (rpm),Temperatura refrigerante (°C),"
        "Presión colector admisión (kPa),"
        "Presión aceite (bar),Velocidad vehículo (km/h),Posición mariposa (%)",
        "Tempo (s),Giri motore (giri/min),Temperatura acqua (°C),Pressione collettore (kPa),"
        "Pressione olio (bar),Velocità veicolo (km/h),Posizione farfalla (%)",
        "Tijd (s),Toerental (omw/min),Koelvloeistoftemperatuur (°C),Inlaatspruitstukdruk (kPa),"
        "Oliedruk (bar),Rijsnelheid (km/h),Gasklepstand (%)",
    ],
)
def test_names_in_every_manner_and_language(header):
    same_drive(read(text(cells(), header.split(","))))


def test_unit_after_a_comma_in_a_quoted_name():
    header = ['"' + h.replace(" [", ", ").replace("]", "") + '"' for h in HEADER]
    same_drive(read(text(cells(), header)))


def test_two_header_rows_that_name_the_same_columns():
    short = ["T", "N", "CT", "P", "OP", "VS", "TP"]
    log = read(text([short, *cells()]))
    same_drive(log)
    assert "two rows name the columns" in said(log)


def test_trailing_delimiter_does_not_shift_columns():
    # One more cell than the header in every row: a careless reader takes time for an index.
    rows = [[*row, ""] for row in cells()]
    same_drive(read(text(rows)))


def test_trailing_delimiter_in_the_header_only():
    same_drive(read(text(cells(), [*HEADER, ""])))


def test_trailing_delimiter_everywhere():
    same_drive(read(text([[*row, ""] for row in cells()], [*HEADER, ""])))


def test_all_cells_quoted():
    rows = [[f'"{cell}"' for cell in row] for row in cells()]
    same_drive(read(text(rows, [f'"{h}"' for h in HEADER])))


def test_a_quote_that_never_closes():
    rows = cells()
    rows[9] = ['"' + rows[9][0], *rows[9][1:]]
    same_drive(read(text(rows)))


def test_units_inside_the_cells():
    units = ["", " rpm", " °C", "kPa", " bar", "km/h", " %"]
    rows = [[c + u for c, u in zip(row, units, strict=True)] for row in cells()]
    header = ["Time [s]", "RPM", "Coolant", "MAP", "Oil Pressure", "Vehicle Speed", "TPS"]
    header[2] = "Coolant temperature"
    log = read(text(rows, header))
    same_drive(log)
    assert "units inside the cells" in said(log)


def test_header_repeated_between_the_readings():
    rows = cells()
    log = read(text([*rows[:20], HEADER, *rows[20:]]))
    same_drive(log)
    assert "column names repeated" in said(log)


def test_last_line_cut_off():
    log = read(text(cells()).rsplit(",", 3)[0])
    same_drive(log, range(ROWS - 1))
    assert "cut off" in said(log)


def test_short_row_in_the_middle_is_dropped_not_shifted():
    rows = cells()
    del rows[30][3]
    log = read(text(rows))
    same_rows = [i for i in range(ROWS) if i != 30]
    same_drive(log, same_rows)
    assert "too few cells" in said(log)


def test_long_row_in_the_middle_is_dropped_not_shifted():
    rows = cells()
    rows[30].insert(3, "17")
    log = read(text(rows))
    same_drive(log, [i for i in range(ROWS) if i != 30])
    assert "too many cells" in said(log)


def test_rows_that_leave_empty_cells_at_the_end_away():
    rows = [row if i % 2 else row[:-1] for i, row in enumerate(cells())]
    log = read(text(rows))
    assert len(log.time) == ROWS
    assert column(log, "TPS [%]").shown == pytest.approx(0.5)
    assert "taken as empty" in said(log)


def test_decimal_commas_between_commas_are_refused():
    with pytest.raises(UserError, match="decimal commas"):
        read(text([row for row in cells(",") if row]))


def test_words_between_the_readings_are_said():
    rows = cells()
    log = read(text([*rows[:10], ["marker set by driver"], *rows[10:]]))
    same_drive(log)
    assert "without readings" in said(log)


def test_columns_in_any_order():
    order = [4, 2, 0, 6, 1, 5, 3]
    rows = [[row[i] for i in order] for row in cells()]
    same_drive(read(text(rows, [HEADER[i] for i in order])))


def test_a_long_log_reads_as_the_wide_one():
    lines = ["time_s;signal;value;unit"]
    for i in range(ROWS):
        for header, _, value, _ in DRIVE:
            name, unit = header.rstrip("]").split(" [")
            lines.append(f"{STEP * i:g};{name};{value(i):g};{unit}")
    log = read("\n".join(lines))
    same_drive(log)
    assert "one reading a row" in said(log)


def test_a_long_log_with_units_in_the_names():
    lines = ["timestamp,name,value"]
    lines += [f"{STEP * i:g},{h},{v(i):g}" for i in range(ROWS) for h, _, v, _ in DRIVE]
    same_drive(read("\n".join(lines)))


def test_no_header_can_be_mended_by_the_user():
    written = "\n".join(",".join(row) for row in cells())
    with pytest.raises(UserError, match="no time column among 'column 1'"):
        read(written)
    told = ["column 1=time:s"]
    units = ["rpm", "°C", "kPa", "bar", "km/h", "%"]
    told += [
        f"column {i}={d[1]}:{unit}" for i, (d, unit) in enumerate(zip(DRIVE, units, strict=True), 2)
    ]
    same_drive(read(written, *told))


def test_header_that_starts_with_a_comment_sign():
    same_drive(read("# " + text(cells())))


def test_nameless_index_column():
    rows = [[str(i), *row] for i, row in enumerate(cells())]
    same_drive(read(text(rows, ["", *HEADER])))


def test_blank_lines_between_the_rows():
    same_drive(read(text(cells(), end="\n\n")))
