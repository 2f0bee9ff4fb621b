"""The same small drive in files that are no tables of text: Parquet, bus logs, a measurement file.

Where a container checks its own bytes (`checked`), a reading that came out must be one of its
channel's. The others carry plain bytes: a damaged number in them is a number, and only a refusal
or a sound log can be asked for.
"""

import io
import warnings
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import can
import cantools
import numpy as np
import polars as pl
from asammdf import MDF, Signal

from witnessmark.logs.recordings.dbc import Dbc

from .corpus import QUANTITIES, ROWS, STEP, Sound, written

# Two quantities a frame, in whole ten-thousandths: the marks come through.
_MESSAGES = "".join(
    f"BO_ {256 + i // 2} Part{i // 2}: 8 Unit\n"
    + "".join(
        f' SG_ {q.name.replace(" ", "")} : {32 * at}|32@1+ (0.0001,0) [0|0] "{q.unit}" Unit\n'
        for at, q in enumerate(QUANTITIES[i : i + 2])
    )
    + "\n"
    for i in range(0, len(QUANTITIES), 2)
)
DBC = f'VERSION ""\n\nBU_: Unit\n\n{_MESSAGES}'.replace("°", "deg")
BUS = Dbc("drive.dbc", DBC)
SHARES = {"parquet": 0.01, "parquet-gzip": 0.005, "blf": 0.01, "asc": 0.01, "candump": 0.01,
          "mdf": 0.005}  # fmt: skip
# Adler-32 of each block of frames. Pages of Parquet packed by gzip end in a CRC-32 too, but the
# library that unpacks them stops before it: nothing is decidable there.
_CHECKED = ("blf",)


def containers() -> list[Sound]:
    """One file of each kind, named as in SHARES."""
    data = {
        "parquet": _parquet("uncompressed"), "parquet-gzip": _parquet("gzip"),
        "blf": _bus(can.BLFWriter), "asc": _bus(can.ASCWriter),
        "candump": _bus(can.CanutilsLogWriter), "mdf": _mdf(),
    }  # fmt: skip
    return [
        Sound(kind, data[kind], "" if _is_binary(kind) else " ", kind in _CHECKED, kind)
        for kind in SHARES
    ]


def _is_binary(kind: str) -> bool:
    return kind not in ("asc", "candump")


def _parquet(compression: Any) -> bytes:
    table = {"Time [s]": [STEP * r for r in range(ROWS)]}
    for c, q in enumerate(QUANTITIES):
        table[f"{q.name} [{q.unit}]"] = [written(c, r) for r in range(ROWS)]
    file = io.BytesIO()
    pl.DataFrame(table).write_parquet(file, compression=compression, row_group_size=16)
    return file.getvalue()


class _Kept(io.BytesIO):
    """Keeps what was written when it is closed."""

    kept = b""
    name = "drive"

    def close(self) -> None:
        self.kept = self.getvalue()
        super().close()


def _bus(writer: Any) -> bytes:
    database: Any = cantools.database.load_string(DBC, "dbc")
    file = _Kept()
    target = file if writer is can.BLFWriter else io.TextIOWrapper(file, "utf-8", newline="")
    with writer(target) as log:
        for row in range(ROWS):
            for at in range(0, len(QUANTITIES), 2):
                values = {QUANTITIES[c].name.replace(" ", ""): written(c, row)
                          for c in (at, at + 1)}  # fmt: skip
                data = database.encode_message(f"Part{at // 2}", values)
                log.on_message_received(can.Message(
                    timestamp=1_700_000_000 + STEP * row + 0.001 * at, data=data, channel=0,
                    arbitration_id=256 + at // 2, is_extended_id=False,
                ))  # fmt: skip
    return file.kept


def _mdf() -> bytes:
    time = STEP * np.arange(ROWS)
    with warnings.catch_warnings(), TemporaryDirectory() as folder:
        warnings.simplefilter("ignore")  # its writer leaves files open
        file = MDF(version="4.10")
        file.append([
            Signal(np.array([written(c, r) for r in range(ROWS)]), time, name=q.name, unit=q.unit)
            for c, q in enumerate(QUANTITIES)
        ])  # fmt: skip
        path = Path(folder) / "drive.mf4"
        file.save(path)
        inner: Any = file._mdf
        file.close()
        inner.header = inner.identification = None  # it would close itself a second time
        return path.read_bytes()
