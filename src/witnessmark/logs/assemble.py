"""Columns into channels: measured, looked over, chosen, and put on one time base."""

from collections.abc import Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import polars as pl
from numpy.typing import NDArray

from witnessmark.errors import UserError
from witnessmark.logs.channels import refuse
from witnessmark.logs.channels.atmosphere import Atmosphere
from witnessmark.logs.channels.choose import Candidate, choose
from witnessmark.logs.channels.company import fractions, gears, temperatures
from witnessmark.logs.channels.confidence import reasons, sure_of
from witnessmark.logs.channels.correct import Told
from witnessmark.logs.channels.in_step import refuse_out_of_step
from witnessmark.logs.channels.measure import Measured, measure, shown
from witnessmark.logs.channels.moves import hurried
from witnessmark.logs.channels.plausible import Examined, examine
from witnessmark.logs.channels.recognise import Claim, claims
from witnessmark.logs.channels.siblings import settle
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.logs.delimited.cells import Numbers, numbers
from witnessmark.logs.delimited.fast import filled
from witnessmark.logs.delimited.text import Raw
from witnessmark.logs.table import RawColumn, Table
from witnessmark.logs.timing.hold import gap_limit, held, hold
from witnessmark.logs.timing.order import Base, run_forward
from witnessmark.logs.timing.times import is_time, pick, ticks
from witnessmark.model.channel import Column, How, Seen, Sure
from witnessmark.model.log import Floats, Log, Note, Source

_WORKERS = 2  # numpy lets go of the interpreter; more than two only fight for memory
_TAKEN = "no column is called a time, but this one runs on like it: taken as the time"
_STRANGE = 2  # channels that move like none of an engine's, each by itself: no log of one
_POLLED = 0.6  # of cells filled or fewer: channels take turns, so rows of one stamp are one


@dataclass(frozen=True)
class _Parts:
    """What the workers hand on."""

    table: Table
    base: Base
    notes: list[Note]
    done: list[Claim]  # columns whose fate is known
    good: list[Candidate]
    false: list[Candidate]


def assemble(
    raw: Raw, table: Table, told: Mapping[str, Told], decimal: str, notes: Sequence[Note],
    tank: str = "",
) -> Log:  # fmt: skip
    """The log. UserError when nothing in it can be used or it cannot be true.

    `tank`: the fuel as `fuel_in_tank` names it, "" if nobody said.
    """
    if table.rows < 2:
        raise UserError(
            raw.name, "a single row of readings", "at least two are wanted", "Log for longer"
        )
    time, date = pick(table, told, decimal)
    rows = ticks(time, date, told, decimal, table.delimiter)
    claimed = [
        c.unread() if c.entry is not None and c.column.cells is None else c
        for c in claims([c for c in table.columns if c is not time and c is not date], told)
    ]
    refuse_out_of_step(raw.name, claimed)
    merge = _merges(table, claimed)
    base = run_forward(raw.name, time.name, rows, merge, None if merge else partial(_copies, table))
    parts = _examine_all(table, base, claimed, decimal, tank)
    called = [] if time.name in told or is_time(time) else [Note(f"column '{time.name}'", _TAKEN)]
    parts.notes[:0] = [*notes, *table.notes, *called, *base.notes]
    _refuse_false(raw.name, parts)
    _keep_company(raw.name, parts)
    log = _log(parts, Source(raw.name, "", raw.size, table.rows), time, date)
    source = replace(log.source, sha256=raw.hashing.result())
    return replace(log, source=source, started=rows.started)


def _merges(table: Table, claimed: Sequence[Claim]) -> bool:
    """Whether rows of one stamp belong to one sample: channels that are polled in turn."""
    if table.long:
        return True
    cells = [c.column.cells for c in claimed if c.entry is not None and c.column.cells is not None]
    texts = [s for s in cells if s.dtype == pl.String]
    return bool(texts) and float(np.mean([filled(s) for s in texts])) < _POLLED


def _copies(table: Table) -> NDArray[np.bool_]:
    """Rows that repeat an earlier row in every cell; none where columns do not fill every row."""
    if any(c.rows is not None for c in table.columns):
        return np.zeros(table.rows, dtype=bool)
    cells = [c.cells for c in table.columns if c.cells is not None]
    frame = pl.DataFrame({str(i): column for i, column in enumerate(cells)})
    first: NDArray[np.bool_] = (
        frame.select(pl.struct(pl.all()).is_first_distinct()).to_series().to_numpy()
    )
    return ~first


def _examine_all(
    table: Table, base: Base, claimed: Sequence[Claim], decimal: str, tank: str
) -> _Parts:
    """Every claim measured and looked over, on two threads."""
    parts = _Parts(table, base, [], [c for c in claimed if c.entry is None], [], [])
    live = [c for c in claimed if c.entry is not None]
    read: dict[str, Floats] = {}

    def get(claim: Claim) -> Numbers:
        assert claim.column.cells is not None
        return numbers(claim.column.cells, decimal, table.delimiter)

    with ThreadPoolExecutor(_WORKERS) as pool:
        cells = list(pool.map(get, live))
        ready = []
        for claim, found in zip(live, cells, strict=True):
            kept = _told_by_cells(claim, found, parts)
            if kept is not None:
                read[kept.column.name] = _on_base(found.values, kept.column, base)
                ready.append(kept)
        ready = settle(ready, read)
        outside = Atmosphere(ready, read)
        futures: list[Future[Candidate | Claim]] = [
            pool.submit(_look, claim, read[claim.column.name], base.time, outside, tank)
            for claim in ready
        ]
        for future in futures:
            _sort(future.result(), parts)
    return parts


def _told_by_cells(claim: Claim, found: Numbers, parts: _Parts) -> Claim | None:
    """The claim with what its cells say of it; None when they are words, not numbers."""
    where = f"column '{claim.column.name}'"
    words = sum(found.text.values())
    if words:
        said = ", ".join(f"'{w[:30]}'" for w, _ in found.text.most_common(3))
        if words > 0.5 * (words + int(np.isfinite(found.values).sum())):
            parts.done.append(
                claim.aside(f"{words:,} of its cells are words, not numbers ({said})")
            )
            return None
        parts.notes.append(Note(where, f"{words:,} cells are no number ({said}): taken as empty"))
    if found.how:
        parts.notes.append(Note(where, found.how))
    if found.unit and not claim.unit and claim.entry is not None:
        return replace(claim, unit=found.unit)
    return claim


def _on_base(values: Floats, column: RawColumn, base: Base) -> Floats:
    """A column's readings at the samples they belong to, NaN at the others."""
    if base.sample is None and column.rows is None:
        return values
    rows = np.arange(len(values)) if column.rows is None else column.rows
    sample = rows if base.sample is None else base.sample[rows]
    fresh = np.isfinite(values) & (sample >= 0)
    result = np.full(len(base.time), np.nan)
    result[sample[fresh]] = values[fresh]
    return result


def _look(
    claim: Claim, values: Floats, time: Floats, outside: Atmosphere, tank: str
) -> Candidate | Claim:
    measured = measure(claim, values, outside, tank, outside.at_idle)
    if measured.claim.entry is None:
        return measured.claim
    seen = examine(time, measured.values, measured.entry.channel)
    share = hurried(time, seen.values, measured.entry)
    return measured, replace(seen, hurried=share > vocabulary().moves.share)


def _sort(found: Candidate | Claim, parts: _Parts) -> None:
    if isinstance(found, Claim):
        parts.done.append(found)
        return
    measured, seen = found
    if seen.count == 0:
        parts.done.append(measured.claim.aside("not one reading in it"))
    elif seen.absent:
        at = refuse.shown_value(measured, seen.low)
        parts.done.append(measured.claim.aside(f"always {at}: no sensor is connected"))
    elif seen.false:
        parts.false.append((measured, seen))
    else:
        parts.good.append((replace(measured, values=seen.values), seen))


def _refuse_false(name: str, parts: _Parts) -> None:
    """Refuse the log if its engine speed, or most of it, cannot be true."""
    speed = [c for c in parts.false if c[0].entry.channel.name == "engine_speed"]
    sound = any(c[0].entry.channel.name == "engine_speed" for c in parts.good)
    if (speed and not sound) or len(parts.false) > len(parts.good):
        raise refuse.implausible(name, parts.false, len(parts.good))
    parts.done.extend(refuse.false_claim(candidate) for candidate in parts.false)


def _keep_company(name: str, parts: _Parts) -> None:
    """Set aside what other columns speak against. UserError when much of it moves like nothing."""
    aside: list[Claim] = []
    for good, claims_aside in (
        fractions(parts.good), temperatures(parts.good, parts.false),
        gears(parts.base.time, parts.good),
    ):  # fmt: skip
        gone = {claim.column.name for claim in claims_aside}
        kept = {c[0].claim.column.name for c in good}
        parts.good[:] = [c for c in parts.good if c[0].claim.column.name in kept - gone]
        aside += claims_aside
    strange = [c for c in aside if not c.may_be]
    swinging = [refuse.false_claim(c) for c in parts.false if c[1].hurried]
    both = [*strange, *swinging]
    if len(both) >= _STRANGE:
        raise refuse.moves_like_none(name, [f"'{c.column.name}' {c.why}" for c in both])
    parts.done.extend(aside)


def _log(parts: _Parts, source: Source, time: RawColumn, date: RawColumn | None) -> Log:
    """Choose among rivals, hold polled channels, and tell what became of every column."""
    used: dict[str, list[Candidate]] = {}
    for candidate in parts.good:
        used.setdefault(candidate[0].entry.channel.name, []).append(candidate)
    for name, rivals in list(used.items()):
        used[name], lost = choose(rivals)
        parts.done.extend(lost)
    used = {name: kept for name, kept in used.items() if kept}
    if not used:
        raise refuse.nothing_known(source.name, parts.done)
    fresh = {name: _together(kept) for name, kept in used.items()}
    keep = _sampled(parts, fresh)
    base = parts.base.time if keep is None else parts.base.time[keep]
    if len(base) < 2:
        raise refuse.nothing_known(source.name, parts.done)
    fresh = {n: v if keep is None else v[keep] for n, v in fresh.items()}
    base = base - base[0]
    limit = gap_limit(base)
    standing, pauses, lost_time = held(base, limit)
    if pauses:
        said = f"{pauses:,} pause{'s' * (pauses > 1)} in recording, {lost_time:,.0f} s in all"
        parts.notes.append(Note("time", f"{said}: nothing is known of them"))
    whole = {n for n, kept in used.items() if keep is None and _whole(kept, len(base))}
    channels = {
        name: values if name in whole else hold(base, values, used[name][0][0].entry.hold)
        for name, values in fresh.items()
    }
    read = {name: np.isfinite(values) for name, values in fresh.items() if name not in whole}
    shares = {n: float(read[n].mean()) if n in read else 1.0 for n in fresh}
    columns = _columns(parts, used, shares, time, date)
    asked = [c for c in columns if c.may_be and c.may_be not in used]
    parts.notes[:0] = [Note(f"column '{c.name}'", f"not used: {c.why}") for c in asked]
    parts.notes.extend(n for kept in used.values() for c in kept for n in refuse.said_of(c))
    partly = {name: mask for name, mask in read.items() if not mask.all()}
    return Log(source, base, standing, channels, columns, _gathered(parts.notes), fresh=partly)


def _gathered(notes: Sequence[Note]) -> tuple[Note, ...]:
    """The notes, each thing said once with all the places it is said of."""
    places: dict[str, dict[str, None]] = {}
    for note in notes:
        places.setdefault(note.said, {})[note.where] = None
    return tuple(Note(_places(list(where)), said) for said, where in places.items())


def _places(where: Sequence[str]) -> str:
    if len(where) == 1:
        return where[0]
    columns = all(place.startswith("column ") for place in where)
    return f"{len(where)} {'columns' if columns else 'places'}"


def _whole(kept: Sequence[Candidate], samples: int) -> bool:
    """Whether one of the columns has a sound reading at every sample."""
    return any(seen.count == samples and not seen.removed for _, seen in kept)


def _together(kept: Sequence[Candidate]) -> Floats:
    """The channel's readings; of several sensors the highest at each moment."""
    values = kept[0][0].values
    for other, _ in kept[1:]:
        values = np.fmax(values, other.values)
    return values


def _sampled(parts: _Parts, fresh: Mapping[str, Floats]) -> NDArray[np.bool_] | None:
    """In a log of one reading a row: the moments at which a channel we use was read."""
    if not parts.table.long:
        return None
    keep = np.zeros(len(parts.base.time), dtype=bool)
    for values in fresh.values():
        keep |= np.isfinite(values)
    return keep


def _columns(
    parts: _Parts,
    used: Mapping[str, Sequence[Candidate]],
    shares: Mapping[str, float],
    time: RawColumn,
    date: RawColumn | None,
) -> tuple[Column, ...]:
    """A word on every column, in the file's order."""
    sure = Sure.CERTAIN if is_time(time) else Sure.LIKELY
    told: dict[str, Column] = {
        time.name: Column(
            time.name, time.unit, "time", time.unit or "s", How.NAMED, "the time of each row", 1.0,
            sure=sure,
        )
    }  # fmt: skip
    if date is not None:
        told[date.name] = Column(
            date.name, "", "time", "", How.NAMED, "the day of each row", 1.0, sure=Sure.CERTAIN
        )
    for name, kept in used.items():
        for measured, seen in kept:
            claim, column = measured.claim, measured.claim.column
            told[column.name] = Column(
                column.name,
                column.unit or ("" if claim.how is How.ASSUMED_UNIT else claim.unit),
                name,
                shown(measured.taken),
                claim.how,
                claim.why,
                shares[name],
                sure=_surely(measured, seen),
                reasons=reasons(measured, refuse.doubt((measured, seen))),
                seen=Seen(seen.low, seen.high, seen.count),
            )
    for claim in parts.done:
        why = claim.why
        if claim.how is How.UNKNOWN and is_time(claim.column):
            why = f"another time; '{time.name}' is used"
        column = claim.column
        told[column.name] = Column(
            column.name, claim.unit or column.unit, None, "", claim.how, why,
            _share(column, parts), claim.may_be, sure_of(claim),
        )  # fmt: skip
    return tuple(told[c.name] for c in parts.table.columns if c.name in told)


def _surely(measured: Measured, seen: Examined) -> Sure | None:
    """How sure a column in use is; values that are unusual take the certainty away."""
    sure = sure_of(measured.claim)
    doubted = sure is Sure.CERTAIN and refuse.doubt((measured, seen))
    return Sure.LIKELY if doubted else sure


def _share(column: RawColumn, parts: _Parts) -> float:
    if column.share is not None:
        return column.share
    if column.cells is None:
        return 0.0
    cells = filled(column.cells) if column.cells.dtype == pl.String else 1.0
    return cells * column.count / max(parts.table.rows, 1)
