"""The drive of tests.logs.written as Parquet, in every kind of column a writer may choose."""

import io
from datetime import UTC, datetime, timedelta

import numpy as np
import polars as pl
import pytest

from tests.logs.written import DRIVE, HEADER, ROWS, STEP, cells, column, said, same_drive
from witnessmark.errors import UserError
from witnessmark.logs.read import read_log, read_log_bytes


def frame(**replaced) -> pl.DataFrame:
    numbers = [[float(cell) for cell in row] for row in cells()]
    table = pl.DataFrame(numbers, schema=HEADER, orient="row")
    return table.with_columns(**replaced) if replaced else table


def parquet(table: pl.DataFrame, **how) -> bytes:
    file = io.BytesIO()
    table.write_parquet(file, **how)
    return file.getvalue()


def read(table: pl.DataFrame, *corrections: str, **how):
    return read_log_bytes(parquet(table, **how), "drive.parquet", corrections)


@pytest.mark.parametrize("compression", ["uncompressed", "snappy", "gzip", "zstd"])
def test_wide(compression):
    same_drive(read(frame(), compression=compression))


@pytest.mark.parametrize("kind", [pl.Decimal(12, 3), pl.String])
def test_other_numbers(kind):
    same_drive(read(frame().with_columns(pl.all().exclude("Time [s]").cast(kind))))


def test_numbers_of_single_precision():
    log = read(frame().with_columns(pl.all().cast(pl.Float32)))
    for header, channel, value, si in DRIVE:
        want = [si(value(i)) for i in range(ROWS)]
        # 24 bits of mantissa.
        np.testing.assert_allclose(log[channel], want, rtol=2**-23, err_msg=header)


def test_whole_numbers_and_switches():
    table = frame().with_columns(
        pl.col("TPS [%]").cast(pl.Int16),
        pl.Series("Brake Switch", [i % 2 == 0 for i in range(ROWS)]),
        pl.Series("Mode", ["cold", "warm"] * (ROWS // 2)).cast(pl.Categorical),
    )
    log = read(table)
    np.testing.assert_allclose(
        log["throttle_position"] * 100, [int(2.5 + i % 11) for i in range(60)]
    )
    np.testing.assert_array_equal(log["brake_switch"], [1, 0] * 30)
    assert column(log, "Mode").channel is None


def test_missing_cells_stay_missing():
    speed = [None if i % 10 == 3 else 900 + 20.25 * i for i in range(ROWS)]
    log = read(frame().with_columns(pl.Series(HEADER[1], speed)))
    fresh = log.fresh["engine_speed"]
    assert fresh.tolist() == [i % 10 != 3 for i in range(ROWS)]


START = datetime(2026, 5, 4, 23, 59, 50)


@pytest.mark.parametrize("unit", ["ms", "us", "ns"])
def test_dates_with_a_time(unit):
    stamps = pl.Series([START + timedelta(seconds=STEP * i) for i in range(ROWS)])
    table = frame().with_columns(stamps.cast(pl.Datetime(unit)).alias("Time [s]"))
    log = read(table.rename({"Time [s]": "logged"}))
    same_drive(log)
    assert log.started == START


def test_dates_with_a_zone_keep_the_wall_clock_and_never_fall_back():
    # 25 October 2026, 03:00 in Berlin: clocks go back an hour in the middle of this drive.
    first = datetime(2026, 10, 25, 0, 59, 50, tzinfo=UTC)
    stamps = pl.Series([first + timedelta(seconds=STEP * i) for i in range(ROWS)])
    local = stamps.dt.convert_time_zone("Europe/Berlin").alias("Time [s]")
    log = read(frame().with_columns(local))
    same_drive(log)
    assert log.started == datetime(2026, 10, 25, 2, 59, 50)


def test_time_since_the_start_and_time_of_day():
    steps = pl.Series([timedelta(seconds=STEP * i) for i in range(ROWS)])
    same_drive(read(frame().with_columns(steps.alias("Time [s]")).rename({"Time [s]": "Time"})))
    clock = pl.Series([(START + timedelta(seconds=STEP * i)).time() for i in range(ROWS)])
    log = read(frame().with_columns(clock.alias("Time [s]")).rename({"Time [s]": "Time"}))
    same_drive(log)
    assert "passes midnight" in said(log)


def test_one_reading_a_row():
    rows = [
        (STEP * i, header, value(i)) for i in range(ROWS) for header, _, value, _ in DRIVE
    ]  # fmt: skip
    table = pl.DataFrame(rows, schema=["time", "name", "value"], orient="row")
    same_drive(read(table))
    same_drive(read(table.with_columns(pl.col("name").cast(pl.Categorical))))


def test_columns_of_lists_and_records_are_left_out_by_name():
    table = frame().with_columns(
        pl.Series("Curve", [[1.0, 2.0]] * ROWS), pl.Series("Place", [{"lat": 1.0}] * ROWS)
    )
    log = read(table)
    same_drive(log)
    assert "column 'Curve': holds lists or records" in said(log).replace(
        "2 columns", "column 'Curve'"
    )


def test_units_beside_the_columns():
    bare = frame().rename(dict(zip(HEADER, [h.split(" [")[0] for h in HEADER], strict=True)))
    units = {h.split(" [")[0]: h.split("[")[1][:-1] for h in HEADER}
    import json  # noqa: PLC0415 - beside its one use

    same_drive(read(bare, metadata={"units": json.dumps(units)}))


def test_of_a_large_table_only_what_is_needed_is_read(monkeypatch):
    monkeypatch.setattr("witnessmark.logs.read.WORTH", 1)
    same_drive(read(frame()))
    log = read_log_bytes(parquet(frame()), "drive.parquet", only=["engine_speed"])
    assert set(log.channels) == {"engine_speed"}
    assert "left unread" in column(log, "MAP [kPa]").how
    rows = [(STEP * i, h, value(i)) for i in range(ROWS) for h, _, value, _ in DRIVE]
    same_drive(read(pl.DataFrame(rows, schema=["time", "name", "value"], orient="row")))


def test_from_a_file_on_disk_and_with_a_correction(tmp_path):
    path = tmp_path / "drive.csv"  # the ending lies
    path.write_bytes(parquet(frame().rename({"MAP [kPa]": "Foo"})))
    log = read_log(path, ["Foo=manifold_pressure:kPa"])
    same_drive(log)


@pytest.mark.parametrize("share", [0.02, 0.3, 0.7, 0.95, 0.999])
def test_a_table_that_is_cut_off(share):
    data = parquet(frame())
    with pytest.raises(UserError, match="damaged or cut off"):
        read_log_bytes(data[: int(share * len(data))], "cut.parquet")


@pytest.mark.parametrize("seed", range(150))
def test_a_damaged_table_is_never_a_trace(seed, capfd):
    rng = np.random.default_rng(seed)
    data = np.frombuffer(parquet(frame()), dtype=np.uint8).copy()
    where = rng.integers(4, len(data), rng.integers(1, 20))
    data[where] = rng.integers(0, 256, len(where))
    try:
        read_log_bytes(data.tobytes(), "hurt.parquet")
    except UserError as error:
        assert len(error.faults) == 1
    assert capfd.readouterr().err == ""


def test_an_empty_table():
    with pytest.raises(UserError, match="no rows"):
        read(frame().head(0))
