"""Time of a whole review over the time polars takes merely to read the same file.

    python benchmarks/review_speed.py [RUNS]

Both are timed as whole processes, in turn, in one run on one machine; what counts is the ratio.
The log has 2 million rows and 25 columns and is made afresh in a temporary folder.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from big_log import write

DEMO = Path(__file__).parents[1] / "demo" / "heron.toml"
AT_MOST = 2.0  # what we hold ourselves to


def main(runs: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "big.csv"
        write(log)
        print(f"{log.stat().st_size / 1e6:.0f} MB, {runs} runs each, in turn")
        bare = [sys.executable, "-c", f"import polars; polars.read_csv({str(log)!r})"]
        ours = [
            str(Path(sys.executable).with_name("witnessmark")), "review", str(log),
            "--build", str(DEMO), "--phase", "first-50-miles", "--quiet",
        ]  # fmt: skip
        pairs = [(_timed(ours), _timed(bare)) for _ in range(runs + 1)][1:]  # first: warm-up
        for name, times in (
            ("review", [a for a, _ in pairs]),
            ("bare read", [b for _, b in pairs]),
        ):
            print(f"{name:>10}: {min(times):.2f} {statistics.median(times):.2f} {max(times):.2f} s")
        ratios = sorted(a / b for a, b in pairs)
        median = statistics.median(ratios)
        print(f"ratio: {ratios[0]:.2f} {median:.2f} {ratios[-1]:.2f} (min median max)")
        print(f"{'within' if median <= AT_MOST else 'OVER'} the {AT_MOST:.1f} we hold ourselves to")


def _timed(command: list[str]) -> float:
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode not in (0, 3, 4, 5):
        raise SystemExit(f"{command[0]} failed:\n{done.stderr}")
    return time.perf_counter() - start


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
