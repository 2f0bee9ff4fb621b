"""A small drive whose numbers are known, written down in the ways loggers write."""

import math
from collections.abc import Callable, Sequence

from witnessmark.logs.read import read_log_bytes
from witnessmark.model.log import Log

ROWS = 60
STEP = 0.5  # s

# header, channel, value of row i as written, SI of that value
Written = tuple[str, str, Callable[[int], float], Callable[[float], float]]

DRIVE: tuple[Written, ...] = (
    ("Engine Speed [rpm]", "engine_speed", lambda i: 900 + 20.25 * i, lambda x: x / 60),
    ("Coolant Temp [°C]", "coolant_temperature", lambda i: 20 + 0.5 * i, lambda x: x + 273.15),
    ("MAP [kPa]", "manifold_pressure", lambda i: 30.5 + i % 7, lambda x: x * 1000),
    ("Oil Pressure [bar]", "oil_pressure", lambda i: 2.25 + 0.01 * (i % 5), lambda x: x * 1e5),
    ("Vehicle Speed [km/h]", "road_speed", lambda i: 0.75 * i, lambda x: x / 3.6),
    ("TPS [%]", "throttle_position", lambda i: 2.5 + i % 11, lambda x: x / 100),
)


def number(value: float, decimal: str = ".") -> str:
    return f"{value:g}".replace(".", decimal)


def cells(decimal: str = ".", rows: int = ROWS) -> list[list[str]]:
    """Time first, then the drive's columns; header not included."""
    return [
        [number(STEP * i, decimal), *(number(value(i), decimal) for _, _, value, _ in DRIVE)]
        for i in range(rows)
    ]


HEADER = ["Time [s]", *(header for header, *_ in DRIVE)]


def text(
    rows: Sequence[Sequence[str]], header: Sequence[str] = HEADER, delimiter: str = ",",
    end: str = "\n",
) -> str:  # fmt: skip
    return "".join(delimiter.join(line) + end for line in [header, *rows])


def read(written: str, *corrections: str, codec: str = "utf-8", name: str = "drive.csv") -> Log:
    return read_log_bytes(written.encode(codec), name, corrections)


def same_drive(log: Log, rows: Sequence[int] = range(ROWS)) -> None:
    """The log shows exactly the drive, for the rows that were written."""
    assert len(log.time) == len(rows)
    for i, (time, row) in enumerate(zip(log.time, rows, strict=True)):
        assert math.isclose(time, STEP * (row - rows[0]), abs_tol=1e-9)
        for header, channel, value, si in DRIVE:
            got = log[channel][i]
            assert math.isclose(got, si(value(row)), rel_tol=1e-9), (header, row, got)


def said(log: Log) -> str:
    """Everything the log says of itself, for looking words up."""
    return "\n".join(
        [f"{n.where}: {n.said}" for n in log.notes] + [f"{c.name}: {c.why}" for c in log.columns]
    )


def column(log: Log, name: str):
    return next(c for c in log.columns if c.name == name)
