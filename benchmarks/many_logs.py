"""Many logs in one command: whether time grows with their number, and whether both cores work.

    python benchmarks/many_logs.py [LOGS]

So many logs (1,000 if not said) of three minutes each, ten rows a second and 12 channels, are cut
out of one long drive into a temporary folder and judged by 'witnessmark review-all': a quarter of
them, a half, and all; and a quarter on one core against two. What counts are the ratios.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import polars as pl
from big_log import columns

DEMO = Path(__file__).parents[1] / "demo" / "heron.toml"
ROWS, RATE = 1800, 10.0  # three minutes
CHANNELS = (
    "Time [s]", "Engine Speed [rpm]", "Manifold Absolute Pressure [kPa]",
    "Barometric Pressure [kPa]", "Throttle Position [%]", "Pedal Position [%]", "Engine Load [%]",
    "Coolant Temperature [°C]", "Oil Temperature [°C]", "Intake Air Temperature [°C]",
    "Oil Pressure [kPa]", "Battery Voltage [V]", "Vehicle Speed [km/h]",
)  # fmt: skip
PER_LOG_AT_MOST = 1.15  # of all logs over that of a quarter of them: growth is linear
TWO_CORES_AT_LEAST = 1.6  # times as fast as one; starting the second process costs its share


def write_logs(folder: Path, count: int) -> list[Path]:
    """The logs, no two alike."""
    drive = {name: values for name, values in columns(count * ROWS).items() if name in CHANNELS}
    drive["Time [s]"] = np.tile(np.arange(ROWS) / RATE, count)
    whole = pl.DataFrame(drive)
    found = []
    for i in range(count):
        found.append(folder / f"drive-{i:04d}.csv")
        whole[i * ROWS : (i + 1) * ROWS].write_csv(found[-1], float_precision=2)
    return found


def timed(logs: list[Path], jobs: int) -> tuple[float, float]:
    """Seconds by the clock, and of processor, that one command takes."""
    command = [
        str(Path(sys.executable).with_name("witnessmark")), "review-all", *map(str, logs),
        "--build", str(DEMO), "--phase", "first-50-miles", "--quiet", "--jobs", str(jobs),
    ]  # fmt: skip
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    took, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 3, 4, 5):
        raise SystemExit(f"review-all failed ({done.returncode}):\n{done.stderr}")
    used = (after.ru_utime + after.ru_stime) - (before.ru_utime + before.ru_stime)
    return took, used


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        logs = write_logs(Path(folder), count)
        cores = os.cpu_count() or 1
        per_log = []
        for many in (count // 4, count // 2, count):
            took, used = timed(logs[:many], cores)
            per_log.append(took / many)
            print(f"{many:>5} logs, {cores} processes: {took:6.1f} s by the clock, "
                  f"{1000 * took / many:5.1f} ms a log, {used / took:.2f} cores busy")  # fmt: skip
        one, _ = timed(logs[: count // 4], 1)
        print(f"{count // 4:>5} logs, 1 process:   {one:6.1f} s")
        growth, gain = per_log[-1] / per_log[0], one / (per_log[0] * (count // 4))
        linear = "linear" if growth <= PER_LOG_AT_MOST else "NOT LINEAR"
        print(f"time per log, all over a quarter: {growth:.2f} ({linear})")
        both = "both cores work" if gain >= TWO_CORES_AT_LEAST else "TOO LITTLE"
        print(f"{cores} processes over one: {gain:.2f} times as fast ({both})")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
