"""Many logs in one command: whether time grows with their number, and whether both cores work.

    python benchmarks/many_logs.py [LOGS]

So many logs (1,000 if not said) of three minutes each, ten rows a second and 12 channels, are cut
out of one long drive into a temporary folder and judged by 'witnessmark review-all': a quarter of
them, a half, and all; and a quarter on one core against two. What counts are the ratios. A line
laid through the three times parts the start of the command from what each log takes: a start
shared by more logs must not pass for growth that is slower than it is.
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
NEXT_AT_MOST = 1.15  # what a log of the last half takes over one of the second quarter
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
        counts, times = [count // 4, count // 2, count], []
        for many in counts:
            took, used = timed(logs[:many], cores)
            times.append(took)
            print(f"{many:>5} logs, {cores} processes: {took:6.1f} s by the clock, "
                  f"{used / took:.2f} cores busy")  # fmt: skip
        one, used = timed(logs[: counts[0]], 1)
        print(f"{counts[0]:>5} logs, 1 process:   {one:6.1f} s by the clock, "
              f"{used / one:.2f} cores busy")  # fmt: skip
        each, start = np.polyfit(counts, times, 1)
        off = np.abs(np.polyval((each, start), counts) - times).max()
        print(f"start of the command {start:.1f} s, then {1000 * each:.0f} ms a log; "
              f"no time further than {off:.1f} s from that line")  # fmt: skip
        early, late = np.diff(times) / np.diff(counts)
        linear = "linear" if late <= NEXT_AT_MOST * early else "NOT LINEAR"
        print(f"a log of the last half over one of the second quarter: {late / early:.2f} "
              f"({linear})")  # fmt: skip
        gain = one / times[0]
        both = "both cores work" if gain >= TWO_CORES_AT_LEAST else "TOO LITTLE"
        print(f"{cores} processes over one, start and all: {gain:.2f} times as fast ({both})")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
