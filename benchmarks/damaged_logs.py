"""What becomes of damaged logs: refused in words, read rightly, or (never) read wrongly.

    python benchmarks/damaged_logs.py [COUNT] [--seed N] [--jobs N] [--only INDEX]

Every log is a small sound one (damage/corpus.py, slices of the measured logs where they are
there, and a few in a hundred of other kinds of file, damage/containers.py), harmed once to three
times (damage/mutate.py), read, and judged if it could be read. A fault is any exception but a
UserError, any warning, anything on stderr, a log that takes longer than the bound, and any number
that came out under another name or in another unit than the damaged file itself has it
(damage/oracle.py). Same seed, same damage: --only repeats one.
"""

import argparse
import multiprocessing
import os
import random
import signal
import sys
import tempfile
import time
import traceback
import unicodedata
import warnings
from collections import Counter
from collections.abc import Iterator
from multiprocessing.connection import Connection, wait
from pathlib import Path

from damage.containers import BUS, SHARES, containers
from damage.corpus import Sound, corpus
from damage.mutate import damaged
from damage.oracle import faults

from witnessmark.errors import UserError
from witnessmark.jobs.build import load_build
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.logs import read as reader
from witnessmark.logs.recordings import mdf
from witnessmark.model.plan import RunPlan
from witnessmark.report.verdict.data import verdict_json

ROOT = Path(__file__).parents[1]
BOUND = 5.0  # s of processor time one small log may take; the child that reads MDF has its own
PATIENCE = 30.0  # s for that child here
STILL = 120.0  # s after which a worker that uses no processor hangs all the same
PHASE = "first-50-miles"
JUDGED = 0.15  # of the logs that could be read are judged too: it takes as long as reading them
Result = tuple[int, str, str, str, float]  # index, outcome, what was done, what went wrong, s


def real_slices() -> list[Sound]:
    """The first rows of each measured text log, if the open data is there."""
    folder = ROOT.parent / "shared" / "data"
    found = []
    for path in sorted(folder.glob("*.csv")):
        with path.open("rb") as file:
            data = b"".join(line for line, _ in zip(file, range(90), strict=False))
        found.append(Sound(path.name, data, ";" if data.count(b";") > 90 else ",", coded=False))
    return found


def all_logs() -> list[Sound]:
    """What is damaged: tables of text first, then the other containers."""
    vars(mdf)["_PATIENCE"] = PATIENCE
    return corpus() * 2 + real_slices() + containers()


def harmed(index: int, seed: int, logs: list[Sound]) -> tuple[random.Random, Sound, bytes, str]:
    """The dice, the log, what damage made of it, and the damage in words."""
    at = random.Random(f"{seed}-{index}-kind").random()
    kind = ""
    for each, share in SHARES.items():
        kind = each if 0 <= at < share else kind
        at -= share
    alike = [log for log in logs if log.kind == kind]
    dice = random.Random(f"{seed}-{index}")
    log = dice.choice(alike)
    data, done = damaged(log, alike, dice)
    return dice, log, data, f"{log.name}: {', '.join(done)}"


def outcome(index: int, seed: int, logs: list[Sound], plan: RunPlan) -> tuple[str, str, str]:
    """One damaged log: (outcome, what was done, what went wrong)."""
    dice, log, data, did = harmed(index, seed, logs)
    quick = dice.random() < 0.5
    # Small files go the careful way; half of ours are sent the quick way of large ones.
    vars(reader)["WORTH"] = 0 if quick else 2_000_000
    vars(reader)["HEAD_LINES"] = 14 if quick else 400
    did += " (quick)" * quick
    try:
        found = reader.read_log_bytes(data, "drive.csv", buses=[BUS] if log.kind else ())
    except UserError as fault:
        spoken = all((fault.where, fault.found, fault.wanted, fault.remedy))
        if not spoken or any(unicodedata.category(c) == "Cc" for c in str(fault) if c != "\n"):
            return "FAULT unspoken", did, repr(str(fault))
        return "refused", did, ""
    wrong = next(faults(log, data, found), None)
    if wrong is not None:
        return f"FAULT {wrong.kind}", did, wrong.said
    if dice.random() > JUDGED:
        return ("read, said what was mended" if found.notes else "read"), did, ""
    try:
        verdict_json(review(plan, PHASE, found))
    except UserError:
        return "read, not judged", did, ""
    return ("judged, said what was mended" if found.notes else "judged"), did, ""


def _work(seed: int, indexes: range, pipe: Connection, errors: str) -> None:
    """One worker: tells which log it begins, then what became of it."""
    logs = all_logs()
    warnings.simplefilter("error")
    with Path(errors).open("wb") as file:
        os.dup2(file.fileno(), 2)
    plan = make_plan(load_build(ROOT / "demo" / "heron.toml"), films=False)
    said = 0
    for index in indexes:
        pipe.send(index)
        start = time.perf_counter()
        signal.setitimer(signal.ITIMER_PROF, BOUND)  # kills us, wherever we are
        try:
            kind, did, wrong = outcome(index, seed, logs, plan)
        except Exception:  # the whole point is to catch what must not happen
            kind, did, wrong = "FAULT exception", "", traceback.format_exc()
        signal.setitimer(signal.ITIMER_PROF, 0)
        size = Path(errors).stat().st_size
        if size > said:
            kind, wrong, said = "FAULT stderr", Path(errors).read_text()[said:], size
        pipe.send((index, kind, did, wrong, time.perf_counter() - start))


class _Worker:
    def __init__(self, seed: int, indexes: range, folder: str) -> None:
        self.seed, self.indexes, self.folder = seed, indexes, folder
        self.now, self.since = -1, time.monotonic() + 60
        self._start(indexes)

    def _start(self, indexes: range) -> None:
        # Small logs gain nothing by threads, and the processes are as many as the cores.
        for name in ("POLARS_MAX_THREADS", "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
            os.environ.setdefault(name, "1")
        self.pipe, theirs = multiprocessing.Pipe(duplex=False)
        errors = f"{self.folder}/{indexes.start}"
        self.process = multiprocessing.get_context("spawn").Process(
            target=_work, args=(self.seed, indexes, theirs, errors), daemon=True
        )
        self.process.start()
        theirs.close()

    def received(self) -> Result | None:
        found: Result | int = self.pipe.recv()
        self.since = time.monotonic()
        if isinstance(found, int):
            self.now = found
            return None
        return found

    def put_right(self, kind: str) -> Result:
        """Stop a worker that hangs or died, and go on behind the log it was at."""
        self.process.kill()
        self.process.join()
        at, step = self.now, self.indexes.step
        self.since = time.monotonic() + 60
        self._start(range(at + step, self.indexes.stop, step))
        return at, kind, "", "", BOUND


def results(count: int, seed: int, jobs: int) -> Iterator[Result]:
    """Every log's result as it comes."""
    with tempfile.TemporaryDirectory() as folder:
        workers = [_Worker(seed, range(i, count, jobs), folder) for i in range(jobs)]
        while workers:
            for pipe in wait([w.pipe for w in workers], timeout=1.0):
                worker = next(w for w in workers if w.pipe is pipe)
                try:
                    found = worker.received()
                except EOFError:
                    worker.process.join()
                    if worker.process.exitcode == 0:
                        workers.remove(worker)
                        continue
                    hung = worker.process.exitcode == -signal.SIGPROF
                    found = worker.put_right("FAULT hang" if hung else "FAULT died")
                if found is not None:
                    yield found
            for worker in workers:
                if time.monotonic() - worker.since > STILL:
                    yield worker.put_right("FAULT hang")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", nargs="?", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=4)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--only", type=int)
    parser.add_argument("--save", type=Path, help="with --only: where to put the damaged log")
    told = parser.parse_args()
    if told.only is not None:
        _only(told.only, told.seed, told.save)
        return
    counts: Counter[str] = Counter()
    slowest, start = (0.0, ""), time.perf_counter()
    for index, kind, did, wrong, took in results(told.count, told.seed, told.jobs):
        counts[kind] += 1
        slowest = max(slowest, (took, f"{index} {did}"))
        if kind.startswith("FAULT") and counts[kind] <= 40:
            print(f"{index:>7} {kind}: {did}\n        {wrong}", flush=True)
        if sum(counts.values()) % 5000 == 0:
            print(f"{sum(counts.values()):,} after {time.perf_counter() - start:.0f} s", flush=True)
    took = time.perf_counter() - start
    print(f"\n{sum(counts.values()):,} damaged logs in {took:.0f} s, seed {told.seed}")
    for kind, many in sorted(counts.items()):
        print(f"{many:>9,}  {kind}")
    print(f"slowest: {slowest[0]:.2f} s ({slowest[1]})")
    if any(kind.startswith("FAULT") for kind in counts):
        raise SystemExit(1)


def _only(index: int, seed: int, save: Path | None) -> None:
    logs = all_logs()
    plan = make_plan(load_build(ROOT / "demo" / "heron.toml"), films=False)
    _, _, data, _ = harmed(index, seed, logs)
    if save is not None:
        save.write_bytes(data)
    else:
        sys.stdout.buffer.write(data)
    print(*outcome(index, seed, logs, plan), sep="\n")


if __name__ == "__main__":
    main()
