"""Write the 2-million-row, 25-column run-in log that the review is timed on.

Run: python benchmarks/big_log.py FILE [ROWS]. The same rows give the same bytes: seed fixed.
The values are invented, but move as an engine's do, so that no check refuses them.
"""

import sys
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ROWS = 2_000_000
RATE = 100.0  # rows a second; 2 million rows are 5.6 hours, a run-in's worth of driving
SEED = 2
TURNS = 7.0  # how often speed and pedal are led elsewhere, s


def wander(seed: np.random.Generator, t: Floats, low: float, high: float, every: float) -> Floats:
    """A smooth walk between two bounds with a new aim so often (seconds). Shape of t."""
    aims = seed.uniform(low, high, int(t[-1] / every) + 3)
    whole = (t / every).astype(np.int64)
    share = t / every - whole
    eased = share * share * (3 - 2 * share)
    walk: Floats = aims[whole] + (aims[whole + 1] - aims[whole]) * eased
    return walk


def columns(rows: int) -> dict[str, Floats]:
    """The 25 columns, header as a logger would write it; each of shape (rows,)."""
    seed = np.random.default_rng(SEED)
    t = np.arange(rows) / RATE
    speed = wander(seed, t, 950, 3900, TURNS)
    pedal = wander(seed, t, 0, 55, TURNS / 2)
    load = np.clip(pedal * 1.6, 0, 100)
    warm = 1 - np.exp(-t / 300)
    pressure = 30 + 0.75 * load
    lambda_ = wander(seed, t, 0.92, 1.04, 2.0)
    fine = seed.normal(0, 1, rows)
    road = speed / 3900 * 88
    return {
        "Time [s]": t,
        "Engine Speed [rpm]": speed + 4 * fine,
        "Manifold Absolute Pressure [kPa]": pressure + 0.3 * fine,
        "Barometric Pressure [kPa]": np.full(rows, 100.6),
        "Throttle Position [%]": np.clip(pedal * 1.1 + 2, 0, 100),
        "Pedal Position [%]": pedal,
        "Engine Load [%]": load,
        "Coolant Temperature [°C]": 18 + 71 * warm,
        "Oil Temperature [°C]": 18 + 76 * warm**1.4,
        "Intake Air Temperature [°C]": wander(seed, t, 22, 41, 120),
        "Ambient Temperature [°C]": wander(seed, t, 17, 21, 600),
        "Oil Pressure [kPa]": 120 + 0.085 * speed + 90 * (1 - warm),
        "Fuel Pressure [kPa]": 300 + 2 * fine,
        "Lambda [λ]": lambda_,
        "Battery Voltage [V]": 14.1 + 0.05 * fine,
        "Vehicle Speed [km/h]": road,
        "Mass Air Flow [g/s]": speed * pressure * 4.6e-4,
        "Ignition Angle [°]": 12 + speed / 220,
        "Short Term Fuel Trim [%]": wander(seed, t, -4, 4, 3.0),
        "Long Term Fuel Trim [%]": wander(seed, t, -2, 3, 300),
        "Injector Duty [%]": speed * load / 7800 + 2,
        "Exhaust Gas Temperature [°C]": 380 + speed * 0.07 + load * 1.5,
        "Wastegate Duty [%]": wander(seed, t, 0, 30, 5.0),
        "Knock Sensor [V]": 0.4 + np.abs(0.1 * fine),
        "Fan State": (warm > 0.97).astype(np.float64),
    }


def write(path: Path, rows: int = ROWS) -> None:
    """Write the log as CSV with four decimals, like a talkative logger."""
    pl.DataFrame(columns(rows)).write_csv(path, float_precision=4)


if __name__ == "__main__":
    write(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else ROWS)
