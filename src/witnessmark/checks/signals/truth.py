"""Each channel of a log as an instrument: how often read, how finely, and what is wrong with it."""

from collections.abc import Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import replace

import numpy as np

from witnessmark.checks.signals.ends import dropped, pile
from witnessmark.checks.signals.lags import lag_of
from witnessmark.checks.signals.readings import Readings, Runs, clock_of, readings
from witnessmark.checks.signals.repeats import refresh_interval
from witnessmark.checks.signals.rules import (
    ChannelRule,
    ReadingRule,
    Rules,
    StuckRule,
    kind_of,
    rules,
)
from witnessmark.checks.signals.steps import smallest_step
from witnessmark.checks.signals.still import still_runs
from witnessmark.checks.terms import count, seconds
from witnessmark.model.log import Log
from witnessmark.model.said import Said
from witnessmark.model.signal import Fault, Flaw, Signal
from witnessmark.units import Kind, Quantity

_POLLED = 0.9  # share of the samples; read at fewer, a channel takes turns with others
_AGREEING, _ALIKE = 2, 1.2  # channels that tell one time between readings, and how nearly
_STRAY = 0.05  # of the changes of a repeated channel may come early


def truth_of(
    log: Log, book: Rules | None = None, pool: Executor | None = None
) -> Mapping[str, Signal]:
    """Every channel of a log that has readings, by name, without any plan.

    `pool` : workers that share the channels, where there are some; numpy lets go of the
    interpreter.

    Exact to the sample for what stands still, is cut off or drops out. Rates, steps and delays
    of very long logs are worked out on stretches spread over the log (`readings.SAMPLE`).
    """
    book, clock = book or rules(), clock_of(log)
    each = map if pool is None else pool.map
    read = each(lambda name: readings(log, name, clock), log.channels)
    found = {n: r for n, r in zip(log.channels, read, strict=True) if r is not None}
    told = each(lambda name: _signal(name, found[name], found, book), found)
    signals = _all_repeated(dict(zip(found, told, strict=True)), found)
    for pair in book.followers:
        if pair.name in found and pair.behind in found:
            step = max(signals[n].interval for n in (pair.name, pair.behind))
            lag = lag_of(found[pair.behind], found[pair.name], step, book.lags, pair)
            signals[pair.name] = replace(signals[pair.name], lag=lag)
    return signals


def _all_repeated(
    signals: Mapping[str, Signal], found: Mapping[str, Readings]
) -> dict[str, Signal]:
    """Where the channels that move fast are all repeated alike, the slow ones are taken to be."""
    told = [s.interval for s in signals.values() if s.fault(Flaw.REPEATED)]
    if len(told) < _AGREEING or max(told) > _ALIKE * min(told):
        return dict(signals)
    interval = float(np.median(told))
    return {
        name: s if s.polled or s.interval >= interval / _ALIKE or _faster(found[name], interval)
        else replace(s, interval=interval, longest=max(interval, s.longest))
        for name, s in signals.items()
    }  # fmt: skip


def _faster(read: Readings, interval: float) -> bool:
    """Whether a channel changes again sooner than it would if it were read so seldom."""
    soon = whole = 0
    for part in read.chunks:
        changed = read.clock[part][1:][read.values[part][1:] != read.values[part][:-1]]
        soon += int(np.count_nonzero(np.diff(changed) < interval / _ALIKE / _ALIKE))
        whole += len(changed)
    return soon > _STRAY * whole


def _signal(name: str, read: Readings, others: Mapping[str, Readings], book: Rules) -> Signal:
    step, rule, kind = smallest_step(read.distinct), book.of(name), kind_of(name)
    stuck = list(_stuck(read, rule, others, kind))
    at = [fault.level for fault in stuck]
    faults = [
        *stuck,
        # A channel that stands at an end of its range is stuck there, not cut off as well.
        *(f for f in _clipped(read, step, rule, kind, book) if f.level not in at),
        *_dropped(read, step, rule, kind, book),
    ]  # fmt: skip
    interval, longest = read.interval, read.longest
    again = _refreshed(read, step, book)
    if again is not None:
        faults.append(_repeated(read, again))
        interval, longest = again, max(again, longest)
    polled = len(read) < _POLLED * len(read.log.time)
    return Signal(name, kind, len(read), interval, longest, polled, step, tuple(faults))


def _stuck(
    read: Readings, rule: ChannelRule, others: Mapping[str, Readings], kind: Kind
) -> Iterator[Fault]:
    test = rule.stuck
    if test is None or test.follows not in others or read.interval <= 0:
        return
    leader = others[test.follows]
    least = max(test.readings, int(0.5 * test.lasting / read.interval))
    runs = [
        run for run in still_runs(read.values, least)
        if _may_not_stand(read, rule, float(read.values[run[0]]))
        and _lasted(read, run) >= test.lasting
        and _moved(leader, read, run, test)
    ]  # fmt: skip
    if not runs:
        return
    level = float(read.values[max(runs, key=lambda run: _lasted(read, run))[0]])
    whole = sum(_lasted(read, run) for run in runs)
    all_of_it = read.low == read.high
    text = "Never moves off {level}" if all_of_it else "Stands still at {level} for {time} in all"
    moved = (
        f"while the {_plain(test.follows)} moves" if test.staying_over is None
        else "while the engine runs"
    )  # fmt: skip
    yield Fault(
        Flaw.STUCK, tuple(read.span(*run) for run in runs),
        Said(f"{text}, {moved}: stuck.", {"level": Quantity(level, kind), "time": seconds(whole)}),
        level,
    )  # fmt: skip


def _lasted(read: Readings, run: tuple[int, int]) -> float:
    return float(read.clock[run[1]] - read.clock[run[0]])


def _may_not_stand(read: Readings, rule: ChannelRule, level: float) -> bool:
    """Whether standing at this level means anything."""
    if rule.stuck is not None and rule.stuck.only_under is not None:
        return level < rule.stuck.only_under
    if rule.natural_over is not None and level >= rule.natural_over:
        return False
    if read.low == read.high and rule.rests:
        return rule.must_move or level != 0
    return not (
        ("low" in rule.rests and level == read.low) or ("high" in rule.rests and level == read.high)
    )


def _moved(leader: Readings, read: Readings, run: tuple[int, int], test: StuckRule) -> bool:
    """Whether the channel it follows moved enough meanwhile."""
    start, end = float(read.clock[run[0]]), float(read.clock[run[1]])
    first = int(np.searchsorted(leader.clock, start, side="left"))
    last = int(np.searchsorted(leader.clock, end, side="right"))
    part = leader.values[first:last]
    if not len(part):
        return False
    low, high = float(part.min()), float(part.max())
    if test.reaching_down_to is not None and low > test.reaching_down_to:
        return False
    if test.staying_over is not None and low <= test.staying_over:
        return False
    return high - low >= test.moves


def _clipped(
    read: Readings, step: float | None, rule: ChannelRule, kind: Kind, book: Rules
) -> Iterator[Fault]:
    for end, sign, level in (("high", 1, read.high), ("low", -1, read.low)):
        natural = rule.natural_over is not None and level >= rule.natural_over
        if end not in rule.clips or natural:
            continue
        if not _crowded(read, level, step, book.readings):
            continue
        low, high = sorted((sign * read.low, sign * read.high))
        visits = pile(sign * read.values, low, high, step, book.readings)
        if visits:
            way = "over" if end == "high" else "under"
            yield Fault(
                Flaw.CLIPPED, tuple(read.span(*run) for run in visits),
                Said(
                    f"Cut off at {{level}}, {{times}} times: what lies {way} it is not read.",
                    {"level": Quantity(level, kind), "times": count(len(visits))},
                ),
                level, end,
            )  # fmt: skip


def _crowded(read: Readings, level: float, step: float | None, rule: ReadingRule) -> bool:
    """Whether enough readings lie at an end of the range to look closer."""
    margin = 0.5 * step if step else 1e-9 * max(abs(level), read.high - read.low)
    at_end = read.values >= level - margin if level == read.high else read.values <= level + margin
    least = max(rule.pile_readings, rule.pile_share * len(read))
    return read.high > read.low and int(np.count_nonzero(at_end)) >= least


def _dropped(
    read: Readings, step: float | None, rule: ChannelRule, kind: Kind, book: Rules
) -> Iterator[Fault]:
    if rule.leap <= 0 or read.high - read.low < rule.leap:
        return
    runs: list[tuple[int, int]] = []
    for sign, level in ((1, read.low), (-1, -read.high)):
        beside = sign * read.distinct - level
        if ((beside > 0.5 * (step or 0.0) + 1e-9 * rule.leap) & (beside < rule.leap / 2)).any():
            continue  # readings lie next to the end: it is part of the signal
        at: Runs = dropped(
            read.clock, sign * read.values, level, step, rule.leap,
            book.dropout_longest, book.dropout_returns,
        )  # fmt: skip
        runs += at
    if not runs:
        return
    runs.sort()
    spans = tuple(read.span(*run) for run in runs)
    level = float(read.values[runs[0][0]])
    longest = max(span.length for span in spans)
    text = "Jumps to {level} and back, {times}, for {longest} at most: look at plug and wire."
    times = "once" if len(runs) == 1 else f"{len(runs)} times"
    yield Fault(
        Flaw.DROPPED_OUT, spans,
        Said(text, {"level": Quantity(level, kind), "times": times, "longest": seconds(longest)}),
        level,
    )  # fmt: skip


def _refreshed(read: Readings, step: float | None, book: Rules) -> float | None:
    """Time between readings where the log repeats them, if every stretch looked at agrees."""
    if read.low == read.high:
        return None
    found = [
        refresh_interval(read.clock[part], read.values[part], step, book.readings)
        for part in read.chunks
    ]
    told = [f for f in found if f is not None]
    return float(np.median(told)) if told and 2 * len(told) > len(found) else None


def _repeated(read: Readings, interval: float) -> Fault:
    return Fault(
        Flaw.REPEATED, (),
        Said(
            "Written every {written}, but a new value comes every {read} only.",
            {"written": _short(read.interval), "read": _short(interval)},
        ),
        float("nan"),
    )  # fmt: skip


def _short(interval: float) -> str:
    return f"{interval:.3g} s"


def _plain(channel: str) -> str:
    return channel.replace("_", " ")
