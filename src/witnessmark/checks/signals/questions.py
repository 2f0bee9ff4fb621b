"""Which questions a log can answer: its channels held against book/questions.toml."""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.signals.key_on_stand import standing
from witnessmark.checks.terms import count, fraction, seconds
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.channel import How
from witnessmark.model.log import Log
from witnessmark.model.said import Said, Values
from witnessmark.model.signal import Answered, Flaw, Shown, Signal
from witnessmark.units import Kind, Quantity, parse

_EXACT = 1 + 1e-6  # two times as written may differ in their last bit
_HARDLY, _SMALL_ODDS = 0.01, 6  # how a share is put into words
LOAD = "load"  # whatever shows load in this log
_JITTER = 1.05  # a logger set to ten a second does not keep to it to the millisecond


@dataclass(frozen=True)
class Need:
    """One channel of several, the briefest event that matters, readings in it. Times in s."""

    any: tuple[str, ...]
    brief: float
    readings: int
    slowest: float


@dataclass(frozen=True)
class Question:
    """As the file has it."""

    id: str
    asks: str
    event: tuple[str, str]
    needs: tuple[Need, ...]
    checks: tuple[str, ...]
    end: str
    only: str
    prompt: bool
    tolerance: str


@cache
def questions() -> tuple[Question, ...]:
    """The questions, read once."""
    path = files("witnessmark").joinpath("book", "questions.toml")
    return tuple(_question(q) for q in tomllib.loads(path.read_text("utf-8"))["question"])


def _question(item: Mapping[str, Any]) -> Question:
    def time(text: str) -> float:
        return parse(text, Kind.DURATION, f"questions.toml, {item['id']}").value

    needs = tuple(
        Need(tuple(n["any"]), time(n["brief"]), n["readings"], time(n["slowest"]))
        for n in item["needs"]
    )
    one, many = item["event"]
    return Question(
        item["id"], item["asks"], (one, many), needs, tuple(item["checks"]), item.get("end", ""),
        item.get("only", ""), item.get("prompt", False), item.get("tolerance", ""),
    )  # fmt: skip


def answers(case: Case) -> tuple[Answered, ...]:
    """Every question with its answer: yes, partly, or no, and why."""
    return tuple(_answer(case, question) for question in questions())


def _answer(case: Case, asked: Question) -> Answered:
    """The worst of what stands in the way, in the order a reader would ask."""
    chosen: list[tuple[Need, Signal]] = []
    for need in asked.needs:
        wanted = need.any
        if wanted == (LOAD,):
            wanted = () if case.load is None else (case.load.channel,)
        name = next((n for n in wanted if n in case.truth), None)
        if name is None:
            return _absent(case.log, asked, need)
        chosen.append((need, case.truth[name]))
    names = tuple(signal.channel for _, signal in chosen)
    content = _CONTENT[asked.only](case) if asked.only else ""
    if content:
        return _no(asked, Said(content), names)
    for _, signal in chosen:
        spoilt = _spoilt(case, asked, signal)
        if spoilt is not None:
            return _barred(asked, spoilt, names, faulty=True)
    need, signal = min(chosen, key=lambda pair: pair[0].brief / max(pair[1].interval, 1e-9))
    return _by_rate(case, asked, need, signal, names)


def _by_rate(
    case: Case, asked: Question, need: Need, signal: Signal, names: tuple[str, ...]
) -> Answered:
    """By how often the slowest channel is read, and what else is said of it."""
    late = _late(asked, need, signal)
    chance = min(1.0, need.brief / signal.interval) if signal.interval > 0 else 0.0
    pace, values = paced(signal.interval)
    one, many = asked.event
    said: Values = {
        **values, "brief": seconds(need.brief), "title": _title(signal.channel),
        "often": odds(chance),
    }  # fmt: skip
    catch = f"{{title}} is read {pace}, which catches {{often}} {many} of {{brief}}."
    if signal.readings < need.readings:
        return _barred(asked, Said(f"{{title}} was read {signal.readings} times.", said), names)
    if late is not None or signal.interval > need.slowest * _JITTER:
        return _barred(asked, late or Said(f"Too slow. {catch}", said), names, chance)
    coarse = _coarse(case, asked, signal)
    if coarse is not None:
        return _answered(asked, Shown.PARTLY, coarse, names, chance, signal.step or 0.0)
    if signal.interval <= need.brief / need.readings * _JITTER:
        return _answered(asked, Shown.YES, _sound(signal, pace, values), names, 1.0)
    if chance >= 1 / _JITTER:
        text = f"{{title}} is read {pace}: every {one} of {{brief}} shows, but not how far it goes."
        return _answered(asked, Shown.PARTLY, Said(text, said), names, 1.0)
    return _answered(asked, Shown.PARTLY, Said(catch, said), names, chance)


def _sound(signal: Signal, pace: str, values: Values) -> Said:
    """How often it is read, and that it drops out if it does."""
    text, said = f"{{title}} is read {pace}.", {**values, "title": _title(signal.channel)}
    dropped = signal.fault(Flaw.DROPPED_OUT)
    if dropped is None:
        return Said(text, said)
    return Said(f"{text} {dropped.said.text}", {**said, **dropped.said.values})


def odds(chance: float) -> str:
    """A share as people say it: "1 in 3", "2 in 5"; "hardly any" below one in a hundred."""
    if chance < _HARDLY:
        return "hardly any"
    if chance < 1 / _SMALL_ODDS:
        return f"1 in {round(1 / chance)}"
    near = Fraction(chance).limit_denominator(_SMALL_ODDS)
    return "nearly all" if near == 1 else f"{near.numerator} in {near.denominator}"


def paced(interval: float) -> tuple[str, Values]:
    """How often something is read: "10 times a second", "every 2 s", and the values for it."""
    if 0 < interval <= 0.5 * _EXACT:
        return "{rate} times a second", {"rate": count(round(1 / interval))}
    return "every {every}", {"every": seconds(interval)}


def _spoilt(case: Case, asked: Question, signal: Signal) -> Said | None:
    """What makes a channel useless for a question; None if nothing does."""
    stuck = signal.fault(Flaw.STUCK)
    if stuck is not None:
        whole = float(case.log.held.sum())
        share = sum(float(case.log.during(s, case.log.held).sum()) for s in stuck.spans) / whole
        if share > 1 - case.terms["shown_share"]:
            text = f"{{title}}, {{share}} of the log. {stuck.said.text}"
            more: Values = {"title": _title(signal.channel), "share": fraction(share)}
            return Said(text, {**stuck.said.values, **more})
    clipped = signal.fault(Flaw.CLIPPED, "" if asked.end == "any" else asked.end)
    if asked.end and clipped is not None:
        text = f"{{title}}: {clipped.said.text}"
        return Said(text, {**clipped.said.values, "title": _title(signal.channel)})
    return None


def _late(asked: Question, need: Need, signal: Signal) -> Said | None:
    """Whether a slow instrument smooths brief events away."""
    lag = signal.lag
    if not asked.prompt or lag is None or lag.seconds - lag.within <= need.brief:
        return None
    return Said(
        "{title} follows {leader} {lag} late: what lasts {brief} is smoothed away.",
        {"title": _title(signal.channel), "leader": _lower(lag.behind),
         "lag": seconds(lag.seconds), "brief": seconds(need.brief)},
    )  # fmt: skip


def _coarse(case: Case, asked: Question, signal: Signal) -> Said | None:
    """Whether the channel's step is wider than the tolerance it is judged with."""
    if not asked.tolerance or not signal.step:
        return None
    limit = case.terms.limits[asked.tolerance].value
    if signal.step <= limit.value * _EXACT:
        return None
    return Said(
        "{title} moves in steps of {step}, which cannot decide {tolerance}.",
        {"title": _title(signal.channel), "step": Quantity(signal.step, limit.kind),
         "tolerance": limit},
    )  # fmt: skip


def _absent(log: Log, asked: Question, need: Need) -> Answered:
    """No for want of a channel; a column set aside that may be it is named."""
    if need.any == (LOAD,):
        lacks, said = "anything that shows load", Said("Nothing in this log shows load.")
    else:
        *first, last = (_lower(name) for name in need.any)
        lacks = f"{', '.join(first)} or {last}" if first else last
        said = Said(f"No {lacks} in this log.")
    for column in log.columns:
        if column.may_be in need.any:
            said = Said(f"No {lacks}. '{{column}}': {{why}}.", {
                "column": column.name, "why": column.why,
            })  # fmt: skip
            lacks = ""
        elif column.how is How.UNREAD and column.why.startswith(tuple(map(_lower, _real(need)))):
            said = Said("'{column}' was left unread in a file this large.", {"column": column.name})
            lacks = ""
    return replace(_no(asked, said, ()), lacks=lacks)


def _real(need: Need) -> tuple[str, ...]:
    return () if need.any == (LOAD,) else need.any


def _no(asked: Question, said: Said, channels: tuple[str, ...]) -> Answered:
    return Answered(asked.id, asked.asks, Shown.NO, said, channels, None, asked.checks)


def _barred(
    asked: Question, said: Said, channels: tuple[str, ...], chance: float | None = None,
    faulty: bool = False,
) -> Answered:  # fmt: skip
    return Answered(
        asked.id, asked.asks, Shown.NO, said, channels, chance, asked.checks, True, faulty
    )


def _answered(
    asked: Question, shown: Shown, said: Said, channels: tuple[str, ...], chance: float,
    coarse: float = 0.0,
) -> Answered:  # fmt: skip
    return Answered(
        asked.id, asked.asks, shown, said, channels, chance, asked.checks, coarse=coarse
    )  # fmt: skip


def _title(channel: str) -> str:
    return vocabulary().entries[channel].channel.title


def _lower(channel: str) -> str:
    title = _title(channel)
    return title[:1].lower() + title[1:]


def _starts(case: Case) -> str:
    return "" if case.starts else "The log begins with the engine running."


def _key_on(case: Case) -> str:
    return "" if standing(case) is not None else "No engine at rest before a start in this log."


def _cold(case: Case) -> str:
    for channel, limit in (
        ("coolant_temperature", "warm_coolant"),
        ("oil_temperature", "warm_oil"),
    ):
        if channel in case.log:
            shown = case.log[channel][case.running & ~np.isnan(case.log[channel])]
            if len(shown):
                cold = float(shown[0]) < case.terms[limit]
                return "" if cold else "The engine is warm already where the log begins."
    return ""


def _drive(case: Case) -> str:
    return "" if case.moving.any() else "There is no driving in this log."


_CONTENT: Mapping[str, Callable[[Case], str]] = {
    "start": _starts, "key_on": _key_on, "cold": _cold, "drive": _drive,
}  # fmt: skip
