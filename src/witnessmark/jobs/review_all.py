"""Judge many drive logs against one phase of a plan, on all cores."""

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date
from math import ceil
from pathlib import Path

from witnessmark.errors import UserError, UserErrors
from witnessmark.jobs.keep import drive_of
from witnessmark.jobs.review import CHANNELS, Review, review
from witnessmark.logs.read import read_log
from witnessmark.logs.recordings.dbc import Dbc
from witnessmark.logs.twins import Likeness, Trace, compare, trace
from witnessmark.model.finding import Answer, Verdict
from witnessmark.model.kept_drive import EngineTotals, KeptDrive, totals
from witnessmark.model.plan import RunPlan

# Each pair of logs is laid over each other, so this grows with the square: beyond, only logs
# that are byte for byte the same are told.
COMPARED = 60
_AHEAD = 4  # logs waiting for each worker; more would only hold memory
_WORTH_A_PROCESS = 20  # logs; a process takes about a second to start, a short log 50 ms
_ONE_THREAD = ("POLARS_MAX_THREADS", "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")


@dataclass(frozen=True)
class Order:
    """What all the logs are judged by; each worker is given it once."""

    plan: RunPlan
    phase: str
    told: tuple[str, ...] = ()
    buses: tuple[Dbc, ...] = ()
    fuel: str = ""


@dataclass(frozen=True)
class Reviewed:
    """What became of one log: a drive with its verdict, or the fault in it.

    `verdict` is without its events and tables: a thousand of them are kept.
    """

    name: str
    drive: KeptDrive | None = None
    verdict: Verdict | None = None
    fault: UserError | None = None
    trace: Trace | None = None
    like: str = ""  # log whose engine speed runs as this one's: maybe the same drive

    @property
    def broken(self) -> int:
        """Lines of the verdict that were broken."""
        findings = self.verdict.findings if self.verdict else ()
        return sum(f.answer is Answer.BROKEN for f in findings)


@dataclass(frozen=True)
class Batch:
    """All logs in the order they were given. `left`: not judged, for it was stopped before."""

    phase: str
    serial: str
    engine: str
    logs: tuple[Reviewed, ...]
    left: tuple[str, ...] = ()
    compared: bool = True  # whether drives taken by two loggers were looked for

    @property
    def totals(self) -> EngineTotals:
        """What the drives add up to, each counted once."""
        return totals([log.drive for log in self.logs if log.drive is not None])


def logs_in(places: Sequence[Path]) -> list[Path]:
    """The files named, and those in the folders named, in the order of their names.

    Raises UserError when there is nothing at a place, or no file in a folder.
    """
    found: list[Path] = []
    for place in places:
        if not place.is_dir():
            found.append(place)
            continue
        inside = sorted(p for p in place.iterdir() if p.is_file() and p.name[:1] != ".")
        if not inside:
            raise UserError(
                str(place), "no file in this folder", "drive logs are wanted",
                "Name the folder the logs are in",
            )  # fmt: skip
        found.extend(inside)
    return found


def review_all(
    order: Order, logs: Sequence[Path], jobs: int, done: Callable[[int], None] | None = None
) -> Batch:
    """Judge every log; a bad one is told of and stops no other.

    `jobs`: processes to work in; `done` is told how many logs are finished. Interrupted from the
    keyboard it gives back what is finished.
    """
    told = done or (lambda _: None)
    found: dict[int, Reviewed] = {}
    try:
        for place, one in _each(order, logs, min(jobs, ceil(len(logs) / _WORTH_A_PROCESS))):
            found[place] = one
            told(len(found))
    except KeyboardInterrupt:
        pass
    lines = [found[i] for i in sorted(found)]
    left = tuple(path.name for i, path in enumerate(logs) if i not in found)
    return together(order.plan, order.phase, lines, left)


def judge_one(order: Order, path: Path) -> Reviewed:
    """One log of many; its fault, if it has one, in place of a verdict."""
    try:
        log = read_log(path, order.told, None, CHANNELS, order.buses, order.fuel)
        found = review(order.plan, order.phase, log)
    except UserError as fault:
        # Only what is said goes to the other process, not what the error holds on to.
        parts = [UserError(f.where, f.found, f.wanted, f.remedy) for f in fault.faults]
        return Reviewed(path.name, fault=parts[0] if len(parts) == 1 else UserErrors(parts))
    return reviewed(path.name, found)


def reviewed(name: str, found: Review) -> Reviewed:
    """What of a review goes into the table of many."""
    plain = tuple(replace(f, events=(), table=None) for f in found.verdict.findings)
    verdict = replace(found.verdict, findings=plain)
    today = date.today().isoformat()  # the shop's own day: a technician reads it
    return Reviewed(name, drive_of(found, today), verdict, None, trace(found.log))


def together(
    plan: RunPlan, phase: str, lines: Sequence[Reviewed], left: tuple[str, ...] = ()
) -> Batch:
    """The lines as one batch: the same file twice counts once, the same drive is noticed."""
    few = len(lines) <= COMPARED
    return Batch(phase, plan.serial, plan.engine, _twins(lines, few), left, few)


def _each(order: Order, logs: Sequence[Path], jobs: int) -> Iterator[tuple[int, Reviewed]]:
    """Each log's place and what became of it, as they are finished."""
    if jobs <= 1:
        for i, path in enumerate(logs):
            yield i, judge_one(order, path)
        return
    with _one_thread_each():
        pool = ProcessPoolExecutor(
            jobs, multiprocessing.get_context("spawn"), _begin, (order,)
        )  # fmt: skip
        running: dict[Future[Reviewed], int] = {}
        ahead = iter(enumerate(logs))
        try:
            while True:
                while len(running) < _AHEAD * jobs and (following := next(ahead, None)):
                    running[pool.submit(_work, following[1])] = following[0]
                if not running:
                    return
                for future in wait(running, return_when=FIRST_COMPLETED).done:
                    yield running.pop(future), future.result()
        except BrokenProcessPool:
            # Killed from outside, as a machine short of memory does: the rest goes one by one.
            for i in [*running.values(), *(i for i, _ in ahead)]:
                yield i, judge_one(order, logs[i])
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


@dataclass
class _Worker:
    orders: list[Order] = field(default_factory=list)


_worker = _Worker()


def _begin(order: Order) -> None:
    """In each worker, once. Ctrl-C is the first process's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _worker.orders[:] = [order]


def _work(path: Path) -> Reviewed:
    return judge_one(_worker.orders[0], path)


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Processes started in the block work on one thread: there is one of them for each core."""
    before = {name: os.environ.get(name) for name in _ONE_THREAD}
    os.environ.update(dict.fromkeys(_ONE_THREAD, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def _twins(lines: Sequence[Reviewed], compared: bool) -> tuple[Reviewed, ...]:
    """The lines; a file that came before is marked as its twin, a drive alike is told of."""
    told: list[Reviewed] = []
    by_hash: dict[str, Reviewed] = {}
    for line in lines:
        drive, like = line.drive, ""
        if drive is not None:
            if drive.sha256 in by_hash:
                drive = replace(drive, twin_of=drive.sha256)
            elif compared:
                like = _like(line, by_hash.values())
            by_hash.setdefault(drive.sha256, line)
        told.append(replace(line, drive=drive, like=like, trace=None))
    return tuple(told)


def _like(line: Reviewed, others: Iterable[Reviewed]) -> str:
    """The log whose engine speed runs as this one's, "" if none.

    Short logs may look alike by chance, so such a drive is told of but not left out of the sums.
    """
    assert line.trace is not None
    for other in others:
        assert other.trace is not None
        if compare(other.trace, line.trace).likeness is Likeness.SAME:
            return other.name
    return ""
