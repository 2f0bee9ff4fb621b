"""Time that runs one way: midnight, restarts, rows out of order, stamps that repeat."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.errors import UserError
from witnessmark.logs.table import Index
from witnessmark.logs.timing.clock import DAY, Ticks
from witnessmark.model.log import Floats, Note

# Reading conventions, not limits on any engine.
RESTART_PAUSE = 60.0  # s between a recording that ended and the next one that starts at zero
_MOST_RESTARTS = 20  # more, and time is not restarting but broken
_OUT_OF_ORDER_SHARE = 0.01  # of rows going back may be sorted; more, and the order is unknown
_OUT_OF_ORDER_REACH = 10.0  # s a row may be out of place
_RARE = 0.02  # share of repeated stamps up to which the last row of a stamp is kept
Copies = Callable[[], NDArray[np.bool_]]
_JUMP = 3600.0 * 6  # s forward in one step that nobody drove: a clock that was set


@dataclass(frozen=True)
class Base:
    """The samples' time and where each row of the file went.

    `time`: seconds from the first sample, strictly increasing, shape (n,).
    `sample`: sample of each row, -1 for a row left out; None when row i is sample i.
    """

    time: Floats
    sample: Index | None
    notes: tuple[Note, ...]


def run_forward(
    name: str, column: str, ticks: Ticks, merge: bool, copies: Copies | None = None
) -> Base:
    """One time base out of a file's stamps. `merge`: rows of one stamp are one sample.

    `copies` tells which rows repeat an earlier one cell for cell; asked when time goes back.
    UserError when time cannot be put in order without guessing.
    """
    where = f"column '{column}'"
    seconds, notes = ticks.seconds, [Note(where, ticks.said)] if ticks.said else []
    steps = np.diff(seconds)
    if steps.size and bool((steps > 0).all()) and np.isfinite(seconds[[0, -1]]).all():
        _refuse_jump(name, column, steps)
        return Base(seconds - seconds[0], None, tuple(notes))
    rows = np.flatnonzero(np.isfinite(seconds))
    _refuse_unreadable(name, column, len(rows), len(seconds))
    if len(rows) < len(seconds):
        notes.append(Note(where, f"{len(seconds) - len(rows):,} rows without a time left out"))
    time = seconds[rows]
    if ticks.of_day:
        time, said = _over_midnight(time)
        notes += [Note(where, said)] if said else []
    if copies is not None and (many := len(rows) - len(kept := _once(time, rows, copies))):
        notes.append(Note(where, f"{many:,} rows written twice: read once"))
        time, rows = time[kept], rows[kept]
    rows, time, said = one_way(name, column, time, rows)
    notes += [Note(where, said)] if said else []
    _refuse_jump(name, column, np.diff(time))
    time, sample, said = _no_repeats(name, column, time, merge)
    notes += [Note(where, said)] if said else []
    of_row = np.full(len(seconds), -1, dtype=np.int64)
    of_row[rows] = sample
    return Base(time - time[0], of_row, tuple(notes))


def _once(time: Floats, rows: Index, copies: Copies) -> Index:
    """Places in `rows` to keep: where time goes back without starting again, no row twice."""
    back = np.flatnonzero(np.diff(time) < 0)
    if not back.size or _are_restarts(time, back):
        return np.arange(len(rows))
    twice = copies()[rows]
    twice[: back[0] + 1] = False
    return np.flatnonzero(~twice)


def _refuse_unreadable(name: str, column: str, readable: int, rows: int) -> None:
    if readable < 0.5 * rows or readable < 2:
        raise UserError(
            f"{name}, column '{column}'", f"only {readable:,} of {rows:,} cells are times",
            "a time in every row is wanted",
            f"Name the time column and its unit: --channel '{column}=time:s'",
        )  # fmt: skip


def _refuse_jump(name: str, column: str, steps: Floats) -> None:
    if steps.size and (most := float(steps.max())) > _JUMP:
        at = int(steps.argmax()) + 1
        raise UserError(
            f"{name}, column '{column}'", f"time jumps {most / 3600:,.0f} h forward at row {at}",
            "one drive is wanted", "Cut the log at the jump, or state the unit of time: "
            f"--channel '{column}=time:ms'",
        )  # fmt: skip


def _over_midnight(time: Floats) -> tuple[Floats, str]:
    """A fall of more than half a day is midnight."""
    falls = np.diff(time) < -DAY / 2
    if not falls.any():
        return time, ""
    days = np.concatenate([[0], np.cumsum(falls)])
    times = "midnight" if falls.sum() == 1 else f"midnight {falls.sum()} times"
    return time + DAY * days, f"passes {times}: carried on into the next day"


def one_way(
    name: str, column: str, time: Floats, rows: Index | None = None
) -> tuple[Index, Floats, str]:
    """Rows in the order of time, repaired if it is plain how, their time, and what was done.

    `rows`, `time`: as they stand in the file. UserError when the order cannot be told.
    """
    rows = np.arange(len(time)) if rows is None else rows
    steps = np.diff(time)
    back = np.flatnonzero(steps < 0)
    if not back.size:
        return rows, time, ""
    if back.size > 0.95 * steps.size and steps.size > 1:
        return rows[::-1], time[::-1], "newest row first: turned around"
    if _are_restarts(time, back):
        return rows, _append(time, back), _said_restarts(len(back))
    reach = float((np.maximum.accumulate(time) - time).max())
    # Rows that fall on stamps of others were not out of order but came a second time.
    again = len(time) - len(np.unique(time)) - int((steps == 0).sum()) > _RARE * len(time)
    few = back.size <= max(1, _OUT_OF_ORDER_SHARE * steps.size)
    if few and not again and reach <= _OUT_OF_ORDER_REACH:
        order = np.argsort(time, kind="stable")
        said = f"{times(back.size)} a row stood out of order by up to {reach:.1f} s: sorted"
        return rows[order], time[order], said
    raise UserError(
        f"{name}, column '{column}'",
        f"time goes backwards {times(back.size)}, by up to {reach:,.1f} s",
        "time must run one way", "Export the log again, or name another time column: "
        "--channel 'COLUMN=time:s'",
    )  # fmt: skip


def times(n: int) -> str:
    """ "once", "3 times"."""
    return "once" if n == 1 else f"{n:,} times"


def _are_restarts(time: Floats, back: Index) -> bool:
    """Whether every step back starts again near the beginning, after running for a while."""
    starts, ends = time[back + 1], time[back]
    step = float(np.median(np.abs(np.diff(time))))
    near = np.abs(starts - time[0]) <= max(2.0, 5 * step)
    far = ends - time[0] > 20 * step
    return len(back) <= _MOST_RESTARTS and bool((near & far).all())


def _append(time: Floats, back: Index) -> Floats:
    shift = np.zeros_like(time)
    shift[back + 1] = time[back] - time[back + 1] + RESTART_PAUSE
    result: Floats = time + np.cumsum(shift)
    return result


def _said_restarts(n: int) -> str:
    return (
        f"starts again {times(n)}: each part is put after the one before, "
        f"with a pause of {RESTART_PAUSE:.0f} s"
    )


def _no_repeats(name: str, column: str, time: Floats, merge: bool) -> tuple[Floats, Index, str]:
    """Strictly increasing samples out of stamps that may repeat."""
    new = np.concatenate([[True], np.diff(time) > 0])
    sample = np.cumsum(new) - 1
    repeats = int((~new).sum())
    if sample[-1] == 0:
        raise UserError(
            f"{name}, column '{column}'", "every row has the same time", "time must run on",
            "Name another time column: --channel 'COLUMN=time:s'",
        )  # fmt: skip
    if not repeats or merge:
        return time[new], sample, ""
    if repeats <= _RARE * len(time):
        said = f"{repeats:,} repeated stamp{'s' * (repeats > 1)}: the last reading of each is kept"
        return time[new], sample, said
    said = f"{repeats:,} rows share a stamp with another: spread evenly up to the next stamp"
    return _spread(time, new, sample), np.arange(len(time)), said


def _spread(time: Floats, new: Index, sample: Index) -> Floats:
    """Rows of one stamp spread evenly over the usual step to the next."""
    stamps = time[new]
    steps = np.diff(stamps)
    usual = float(np.median(steps))
    room = np.minimum(np.append(steps, usual), usual)
    first = np.flatnonzero(new)
    many = np.diff(np.append(first, len(time)))
    place = np.arange(len(time)) - first[sample]
    result: Floats = time + room[sample] * place / many[sample]
    return result
