"""Stamps, files and cells in every shape."""

import re
from collections.abc import Callable

from tests.logs.loggers import (
    BAR,
    KPA,
    PERCENT,
    ROWS,
    RPM,
    STEP,
    C,
    Case,
    c,
    shows,
    table,
    wide,
)

_SMALL = [
    c("RPM", 850, 3600, form="{:.0f}", engine_speed=RPM),
    c("MAP (kPa)", 35, 98, manifold_pressure=KPA),
    c("Oil Pressure (bar)", 4.5, 5.2, 2.1, oil_pressure=BAR),
]
_HOUR = 10 * 3600 + 30 * 60


def _clock(shape: str) -> Callable[[int], str]:
    """A stamp of row i, counted from 10:30:00 on the day given in the shape."""

    def of(i: int) -> str:
        s, ms = divmod(round(1000 * (_HOUR + STEP * i)), 1000)
        e, em = divmod(round(1000 * STEP * i), 1000)
        return shape.format(
            h=s // 3600,
            m=s // 60 % 60,
            s=s % 60,
            ms=ms,
            em=e // 60,
            es=e % 60,
            ems=em,
            epoch=1_795_602_600 + e,
            epochms=(1_795_602_600 + e) * 1000 + em,
            us=e * 1_000_000 + em * 1000,
            d=em // 100,
            all=1000 * e + em,
            part=0.4375 + (e + em / 1000) / 86_400,
            days=46_351.4375 + (e + em / 1000) / 86_400,
            sec=e + em / 1000,
        )

    return of


_STAMPS = {
    "Time (ms)": "{all}",
    "Time(µs)": "{us}",
    "time [usec]": "{us}",
    "Timestamp": "{epochms}",
    "timestamp": "{epoch}.{d}",
    "Log Time": "{h:02d}:{m:02d}:{s:02d}.{ms:03d}",
    "TIME (abs)": "{h}:{m:02d}:{s:02d}.{d}",
    "Elapsed": "{em:02d}:{es:02d}.{d}",
    "Elapsed Time (s)": "{sec}",
    "Lap Time": "{em}:{es:02d}.{ems:03d}",
    "DateTime": "2026-11-25T{h:02d}:{m:02d}:{s:02d}.{ms:03d}Z",
    "Time Stamp": "2026-11-25T{h:02d}:{m:02d}:{s:02d}.{ms:03d}+01:00",
    "Wall time": "Wed Nov 25 {h:02d}:{m:02d}:{s:02d}.{ms:03d} GMT+01:00 2026",
    "time_stamp": "25/11/2026 {h:02d}:{m:02d}:{s:02d}.{ms:03d}",
    "Date/Time": "11/25/2026 {h}:{m:02d}:{s:02d}.{ms:03d} AM",
    "Uhrzeit": "25.11.2026 {h:02d}:{m:02d}:{s:02d}.{ms:03d}",
    "Heure": "{h:02d}:{m:02d}:{s:02d}.{ms:03d}",
    "T": "{sec}",
    "Time since start [s]": "{sec}",
    "Rel. time": "{sec}",
    "Time (h:mm:ss.ms)": "{h}:{m:02d}:{s:02d}.{ms:03d}",
    "UTC": "20261125T{h:02d}{m:02d}{s:02d}.{ms:03d}Z",
    "Serial date": "{days:.9f}",
    "Zeit": "{part:.9f}",
    "Seconds": "{sec}",
    "Time(sec)": "{sec}",
    "elapsed_ms": "{all}",
    "Logging time": "{sec}",
    "Offset": "{sec}",
    "Time Elapsed": "00:{em:02d}:{es:02d}.{ems:03d}",
    "Interval": "{sec}",
    "relative time (s)": "{sec}",
    "Laufzeit [s]": "{sec}",
    "Measuring time": "{sec}",
    "MTime": "{sec}",
    "Time_S": "{sec}",
    "sample time (ms)": "{all}",
    "Time (HH:MM:SS.S)": "{h:02d}:{m:02d}:{s:02d}.{d}",
    "GPS Time": "{h:02d}{m:02d}{s:02d}.{d}",
}


def _lines(text: str, change: Callable[[int, str], str]) -> str:
    return "\n".join(change(i, line) for i, line in enumerate(text.splitlines())) + "\n"


def _many() -> str:
    """160 columns, three of them known; every tenth empty."""
    head = [
        "Time (s)",
        *(f"Aux {i:03d}" for i in range(157)),
        "RPM",
        "MAP (kPa)",
        "Oil Pressure (bar)",
    ]
    rows = [
        [
            f"{STEP * i:.2f}",
            *("" if j % 10 == 0 else f"{j + i % 3}" for j in range(157)),
            *(col.cell(i) for col in _SMALL),
        ]
        for i in range(ROWS)
    ]
    return "\n".join(",".join(row) for row in [head, *rows]) + "\n"


def _fixed(gap: str) -> str:
    head = gap.join(
        ["time".rjust(8), "rpm".rjust(8), "map_kpa".rjust(8), "oil_press_bar".rjust(14)]
    )
    rows = [
        gap.join(
            [
                f"{STEP * i:8.2f}",
                f"{_SMALL[0].cell(i):>8}",
                f"{_SMALL[1].cell(i):>8}",
                f"{_SMALL[2].cell(i):>14}",
            ]
        )
        for i in range(ROWS)
    ]
    return "\n".join([head, *rows]) + "\n"


def _two_days(order: str) -> str:
    stamp = _clock("{h:02d}:{m:02d}:{s:02d}.{ms:03d}")
    return table(_SMALL, time="Time", stamp=stamp, lead=lambda i: order, lead_head="Date")


def _restart() -> str:
    text = table(_SMALL)
    return text + "".join(f"{line}\n" for line in text.splitlines()[1:])


_WORDS = [
    *_SMALL,
    c("Clutch Switch", 0, 1),
    c("Brake", 0, 1),
    c("Fan", 0, 1),
    c("Loop", 0, 1),
]


def _switches(i: int, line: str) -> str:
    if i == 0:
        return line
    head = line.split(",")[:-4]
    return ",".join(
        [*head, *(("true", "ON", "Open", "CL") if i % 9 else ("false", "OFF", "Closed", "OL"))]
    )


_BIG = [
    c("RPM", 850, 3600, form="{:,.0f}", engine_speed=RPM),
    c("Air Flow (kg/h)", 12, 1240, form="{:,.1f}", air_flow=lambda p: tuple(x / 3600 for x in p)),
    c("Throttle (%)", 2, 80, throttle_position=PERCENT),
]
_ALL = shows(_SMALL)

CASES: list[Case] = [
    *(
        Case(f"time: {head} {shape}", table(_SMALL, time=head, stamp=_clock(shape)), _ALL)
        for head, shape in _STAMPS.items()
    ),
    Case("a date column before the time, day first", _two_days("25/11/2026"), _ALL),
    Case("a date column before the time, month first", _two_days("11/25/2026"), _ALL),
    Case("a date column before the time, two-figure year", _two_days("25.11.26"), _ALL),
    Case(
        "a row number and no time",
        table(_SMALL, time=None, lead=str, lead_head="Sample"),
        refused="no time column",
    ),
    Case("no time column", table(_SMALL, time=None), refused="no time column"),
    Case(
        "a stamp with a comma between semicolons",
        table(
            _SMALL,
            time="Time",
            sep=";",
            stamp=_clock("2026-11-25 {h:02d}:{m:02d}:{s:02d},{ms:03d}"),
        ),
        _ALL,
    ),
    Case(
        "a stamp with a comma between commas",
        table(_SMALL, time="Time", stamp=_clock("2026-11-25 {h:02d}:{m:02d}:{s:02d},{ms:03d}")),
        refused="more cells than the 4 column names",
    ),
    Case("a row number before the time", table(_SMALL, lead=str, lead_head="#"), _ALL),
    Case("a nameless row number before the time", table(_SMALL, lead=str, lead_head=""), _ALL),
    Case("a blank first column", table(_SMALL, lead=lambda i: "", lead_head=""), _ALL),
    Case("a spreadsheet's first line", table(_SMALL, sep=";", above="sep=;\n"), _ALL),
    Case(
        "a spreadsheet's first line, decimal commas",
        table(_SMALL, sep=";", decimal=",", above="sep=;\n", end="\r\n"),
        _ALL,
    ),
    Case("carriage returns only", table(_SMALL, end="\r"), _ALL),
    Case("16 bits a character, tabs", table(_SMALL, sep="\t", end="\r\n").encode("utf-16"), _ALL),
    Case("zero bytes at the end", table(_SMALL).encode() + b"\0" * 4096, _ALL),
    Case(
        "old German characters",
        table([*_SMALL, c("Kühlmitteltemperatur [°C]", 21, 60, 88)], sep=";").encode("cp1252"),
        {**_ALL, "coolant_temperature": C((21, 60, 88))},
    ),
    Case("a comma at the end of rows, not of names", table(_SMALL, tail=","), _ALL),
    Case("spaces round every cell", table(_SMALL, sep=" , "), _ALL),
    Case(
        "a summary below",
        table(_SMALL, below="\nMinimum,,850,35\nMaximum,,3600,98\nEnd of log\n"),
        _ALL,
    ),
    Case(
        "a summary below that looks like rows",
        table(_SMALL, below="Min:,850,35,2.1\nMax:,3600,98,5.2\nAvg:,2200,66,4.2\n"),
        _ALL,
    ),
    Case(
        "words for switches",
        _lines(table(_WORDS), _switches),
        {**_ALL, "clutch_switch": (1, 1, 1), "brake_switch": (1, 1, 1), "fan": (1, 1, 1)},
    ),
    wide("thousands in quotes", _BIG, quote=True),
    wide("thousands between semicolons", _BIG, sep=";"),
    Case("160 columns", _many(), _ALL),
    Case("the same name twice", table([*_SMALL, c("RPM", 850, 3600, form="{:.0f}")]), _ALL),
    Case("time starts again", _restart(), {}, only=False, length=2 * 60 + 60),
    Case("columns parted by two spaces", _fixed("  "), _ALL),
    Case("columns parted by spaces, decimal commas", _fixed("  ").replace(".", ","), _ALL),
    Case("columns parted by one space", re.sub(" +", " ", _fixed(" ")), _ALL),
    Case(
        "columns parted by spaces and ruled",
        _lines(_fixed("  "), lambda i, line: line + ("\n" + "-" * len(line) if i == 0 else "")),
        _ALL,
    ),
    Case("a ruler of dashes in cells", table(_SMALL, under="---,---,---,---\n"), _ALL),
    Case(
        "a unit row of brackets",
        table(
            [c("Engine", 850, 3600), c("Manifold", 35, 98), c("Oil pressure", 4.5, 5.2, 2.1)],
            under="[s],[rpm],[kPa],[bar]\n",
        ),
        _ALL,
    ),
    Case(
        "units above the names",
        table(
            [
                c("Engine Speed", 850, 3600),
                c("Manifold Pressure", 35, 98),
                c("Oil Pressure", 4.5, 5.2, 2.1),
            ],
            above="s,rpm,kPa,bar\n",
            time="Time",
        ),
        _ALL,
    ),
    Case(
        "groups above the names",
        table(
            [c("Speed", 850, 3600), c("MAP", 35, 98), c("Pressure oil", 4.5, 5.2, 2.1)],
            above=",Engine,Engine,Engine\n",
            under="s,rpm,kPa,bar\n",
            time="Time",
        ),
        _ALL,
    ),
    Case(
        "figures with exponents",
        table(
            [
                c("RPM", 850, 3600, form="{:.6e}"),
                c("MAP (kPa)", 35, 98, form="{:.5E}"),
                c("Oil Pressure (bar)", 4.5, 5.2, 2.1, form="{:.4e}"),
            ]
        ),
        _ALL,
    ),
    Case(
        "quotes round names only",
        _lines(
            table(_SMALL),
            lambda i, line: ",".join(f'"{x}"' for x in line.split(",")) if i == 0 else line,
        ),
        _ALL,
    ),
    Case(
        "single quotes",
        _lines(
            table(_SMALL),
            lambda i, line: ",".join(f"'{x}'" for x in line.split(",")) if i == 0 else line,
        ),
        _ALL,
    ),
    Case(
        "equals signs a spreadsheet needs",
        _lines(
            table(_SMALL),
            lambda i, line: ",".join(f'="{x}"' for x in line.split(",")) if i else line,
        ),
        _ALL,
    ),
]
