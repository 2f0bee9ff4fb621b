"""Small sound logs in many layouts, of which every single number says whose cell it is.

The last four decimals of a cell are its mark: no other cell of the drive has them. So wherever a
number ends up, its column and row are known. The values move as an engine's do and overlap
(coolant, oil, throttle, speed), so that a value in the wrong channel looks possible there.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

ROWS = 48
STEP = 0.5  # s
_START = datetime(2024, 5, 17, 23, 59, 50)  # ten seconds to midnight


@dataclass(frozen=True)
class Quantity:
    """A column: what it is called, its unit, its channel, its way to SI, its values."""

    name: str
    unit: str
    channel: str
    factor: float
    offset: float
    shape: Callable[[int], float]
    also: str  # its name in a second header row

    def si(self, written: float) -> float:
        return written * self.factor + self.offset


def _wave(low: float, high: float, rows: float) -> Callable[[int], float]:
    def at(row: int) -> float:
        return low + (high - low) * (0.5 - 0.5 * math.cos(2 * math.pi * row / rows))

    return at


QUANTITIES = (
    Quantity("Engine Speed", "rpm", "engine_speed", 1 / 60, 0, _wave(1100, 3100, 31), "n_1"),
    Quantity("Coolant Temp", "°C", "coolant_temperature", 1, 273.15, _wave(62, 80, 96), "t_1"),
    Quantity("Oil Temp", "°C", "oil_temperature", 1, 273.15, _wave(58, 74, 96), "t_2"),
    Quantity("MAP", "kPa", "manifold_pressure", 1e3, 0, _wave(31, 88, 17), "p_1"),
    Quantity("Oil Pressure", "bar", "oil_pressure", 1e5, 0, _wave(2, 4.5, 31), "p_2"),
    Quantity("Vehicle Speed", "km/h", "road_speed", 1 / 3.6, 0, _wave(2, 71, 60), "v_1"),
    Quantity("Throttle Position", "%", "throttle_position", 0.01, 0, _wave(3, 64, 17), "a_1"),
    Quantity("Battery Voltage", "V", "battery_voltage", 1, 0, _wave(13.6, 14.4, 40), "u_1"),
)  # fmt: skip


def mark(column: int, row: int) -> int:
    """The four decimals of a cell; never ending in a zero, never three decimals."""
    return 1000 * (column + 1) + 10 * row + 1 + (row + column) % 9


def written(column: int, row: int) -> float:
    return math.floor(QUANTITIES[column].shape(row)) + mark(column, row) / 10_000


def cell(column: int, row: int, decimal: str = ".") -> str:
    return f"{written(column, row):.4f}".replace(".", decimal)


WHOSE = {
    f"{written(c, r):.4f}": (c, r) for c in range(len(QUANTITIES)) for r in range(ROWS)
}  # a number as written -> its column and row


@dataclass(frozen=True)
class Sound:
    """An undamaged log. `coded`: its numbers carry marks, and they can be told from damage.

    `parts`: the cells' delimiter, "" in a binary file. `kind`: "" for a table of text, else which
    container (damage/containers.py).
    """

    name: str
    data: bytes
    parts: str = ","
    coded: bool = True
    kind: str = ""


def _seconds(row: int, decimal: str = ".") -> str:
    return f"{STEP * row:g}".replace(".", decimal)


def _rows(
    decimal: str = ".", clock: Callable[[int], str] | None = None, suffix: bool = False,
    order: Sequence[int] = tuple(range(len(QUANTITIES))), empty: int = 1,
) -> list[list[str]]:  # fmt: skip
    """Rows of cells. `empty` of 3: of each row only every third cell, in turn."""
    rows = []
    for r in range(ROWS):
        when = clock(r) if clock else _seconds(r, decimal)
        cells = [
            (cell(c, r, decimal) + (f" {QUANTITIES[c].unit}" if suffix else ""))
            if (c + r) % empty == 0 else ""
            for c in order
        ]  # fmt: skip
        rows.append([when, *cells])
    return rows


def _heads(form: str = "{0} [{1}]", time: str = "Time [s]", order: Sequence[int] = ()) -> list[str]:
    chosen = [QUANTITIES[c] for c in order or range(len(QUANTITIES))]
    return [time, *(form.format(q.name, q.unit) for q in chosen)]


def _text(rows: Sequence[Sequence[str]], parts: str = ",", end: str = "\n") -> str:
    return "".join(parts.join(row) + end for row in rows)


def _twelve(row: int) -> str:
    return (_START + timedelta(seconds=STEP * row)).strftime("%I:%M:%S.%f")[:-3] + (
        " PM" if row < 20 else " AM"
    )


def _day(row: int) -> str:
    return (_START + timedelta(seconds=STEP * row)).strftime("%d.%m.%Y %H:%M:%S.%f")[:-3]


def _long() -> str:
    rows = [["Time [s]", "Channel", "Value", "Unit"]]
    for r in range(ROWS):
        for c, q in enumerate(QUANTITIES[:5]):
            rows.append([_seconds(r), q.name, cell(c, r), q.unit])
    return _text(rows)


def corpus() -> list[Sound]:
    """All layouts."""
    names, units, also = (
        ["Time", *(q.name for q in QUANTITIES)], ["s", *(q.unit for q in QUANTITIES)],
        ["t_0", *(q.also for q in QUANTITIES)],
    )  # fmt: skip
    plain = [_heads(), *_rows()]
    mixed = (4, 1, 6, 0, 3, 2, 7, 5)
    quoted = [[f'"{x}"' for x in row] for row in plain]
    preamble = "Log of a drive\nOperator,nobody\nSamples,48\n\n"
    texts = {
        "wide": (_text(plain), ","),
        "permuted": (_text([_heads(order=mixed), *_rows(order=mixed)]), ","),
        "semicolon-comma": (_text([_heads(), *_rows(",")], ";", "\r\n"), ";"),
        "tab-units-below": (_text([names, units, *_rows()], "\t"), "\t"),
        "units-above": (_text([units, names, *_rows()], ";"), ";"),
        "double-header": (_text([also, names, units, *_rows()]), ","),
        "trailing-rows": (_text([_heads(), *([*row, ""] for row in _rows())]), ","),
        "trailing-all": (_text([[*_heads(), ""], *([*row, ""] for row in _rows())], ";"), ";"),
        "units-trailing": (
            _text([[*names, ""], [*units, ""], *([*row, ""] for row in _rows())]), ",",
        ),
        "twelve-hours": (_text([_heads(time="Time of day"), *_rows(clock=_twelve)]), ","),
        "stamps": (_text([_heads(time="Date"), *_rows(",", clock=_day)], ";"), ";"),
        "milliseconds": (
            _text([_heads(time="Time [ms]"), *_rows(clock=lambda r: str(500 * r))], "|"), "|",
        ),
        "quoted": (_text(quoted), ","),
        "no-units": (_text([_heads("{0}", "Time"), *_rows()]), ","),
        "suffixes": (_text([_heads("{0}", "Time"), *_rows(suffix=True)], ";"), ";"),
        "polled": (_text([_heads(), *_rows(empty=3)]), ","),
        "preamble": (preamble + _text(plain, end="\r\n"), ","),
        "spaces": (_text([[h.replace(" ", "_") for h in _heads()], *_rows()], "  "), " "),
        "long": (_long(), ","),
    }  # fmt: skip
    return [Sound(name, text.encode(), parts) for name, (text, parts) in texts.items()]
