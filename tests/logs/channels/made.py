"""A log of columns made in the test that uses them."""

import numpy as np

from witnessmark.logs.read import read_log_bytes
from witnessmark.model.log import Log

ROWS = 1200
T = np.arange(ROWS) / 10  # two minutes
SWING = np.abs((np.arange(ROWS) % 200) - 100) / 100  # up and down, 20 s each


def log_of(columns: dict[str, np.ndarray], *told: str, fuel: str = "", rpm=None) -> Log:
    """The columns beside a sound engine speed, ten rows a second."""
    speed = 800 + 2200 * SWING if rpm is None else rpm
    sheet = {"Time [s]": T, "Engine RPM [rpm]": speed, **columns}
    lines = [";".join(sheet)]
    lines += [";".join(f"{x:.6g}" for x in row) for row in zip(*sheet.values(), strict=True)]
    return read_log_bytes("\n".join(lines).encode(), "made.csv", told, fuel=fuel)


def column(log: Log, name: str):
    return next(c for c in log.columns if c.name == name)
