"""Time and memory of a whole review, over what polars takes merely to read the same file.

    python benchmarks/review_speed.py [RUNS]

Both are timed as whole processes, in turn, in one run on one machine; what counts is the ratio.
Memory is the most a process had resident, over the size of the same log as Parquet.
The log has 2 million rows and 25 columns and is made afresh in a temporary folder.
"""

import compileall
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import polars as pl
from big_log import write

import witnessmark

DEMO = Path(__file__).parents[1] / "demo" / "heron.toml"
AT_MOST = 1.5  # times polars' time: what we hold ourselves to
MEMORY_AT_MOST = 3.0  # times the size of the log as Parquet


def main(runs: int) -> None:
    # As pip leaves an installed package; a checkout that may not write is compiled at each start.
    compileall.compile_dir(witnessmark.__path__[0], quiet=1)
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "big.csv"
        write(log)
        print(f"{log.stat().st_size / 1e6:.0f} MB, {runs} runs each, in turn")
        bare = [sys.executable, "-c", f"import polars; polars.read_csv({str(log)!r})"]
        ours = [
            str(Path(sys.executable).with_name("witnessmark")), "review", str(log),
            "--build", str(DEMO), "--phase", "first-50-miles", "--quiet",
        ]  # fmt: skip
        print(_memory(log, ours, bare))
        pairs = [(_timed(ours), _timed(bare)) for _ in range(runs)]
        for name, times in (
            ("review", [a for a, _ in pairs]),
            ("bare read", [b for _, b in pairs]),
        ):
            print(f"{name:>10}: {min(times):.2f} {statistics.median(times):.2f} {max(times):.2f} s")
        ratios = sorted(a / b for a, b in pairs)
        median = statistics.median(ratios)
        print(f"ratio: {ratios[0]:.2f} {median:.2f} {ratios[-1]:.2f} (min median max)")
        print(f"{'within' if median <= AT_MOST else 'OVER'} the {AT_MOST:.1f} we hold ourselves to")


def _memory(log: Path, ours: list[str], bare: list[str]) -> str:
    """What is to say of memory; also the run that warms the caches."""
    packed = log.with_suffix(".parquet")
    pl.scan_csv(log).sink_parquet(packed)
    size, peak, theirs = packed.stat().st_size / 1e6, _peak(ours), _peak(bare)
    word = "within" if peak <= MEMORY_AT_MOST * size else "OVER"
    return (
        f"memory: review {peak:.0f} MB, bare read {theirs:.0f} MB, as Parquet {size:.0f} MB: "
        f"{peak / size:.1f} times the Parquet ({word} the {MEMORY_AT_MOST:.1f})"
    )


def _peak(command: list[str]) -> float:
    """The most a process has resident [MB], looked at in a process of its own."""
    look = (
        "import resource, subprocess, sys; subprocess.run(sys.argv[1:], capture_output=True); "
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    done = subprocess.run(
        [sys.executable, "-c", look, *command], capture_output=True, text=True, check=True
    )
    return int(done.stdout) * 1024 / 1e6


def _timed(command: list[str]) -> float:
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode not in (0, 3, 4, 5):
        raise SystemExit(f"{command[0]} failed:\n{done.stderr}")
    return time.perf_counter() - start


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
