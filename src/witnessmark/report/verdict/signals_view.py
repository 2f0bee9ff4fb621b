"""What a log can tell and what its sensors are worth, in words."""

from dataclasses import dataclass

from witnessmark.checks.signals.questions import paced
from witnessmark.checks.signals.rules import rules
from witnessmark.jobs.review import Review
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.finding import Answer
from witnessmark.model.said import Said
from witnessmark.model.signal import ANSWERS, Answered, Flaw, Lag, Shown, Signal
from witnessmark.report.words import counted, in_sentence, key
from witnessmark.units import Kind, Preferences, Quantity, show, shown_value

_GAP = 3.0  # usual intervals; a longer silence is worth its own words
_SILENCE = 1.0  # s; a shorter one is not
# A step is a difference: it has no zero and no "absolute".
_DIFFERENCE = {
    Kind.TEMPERATURE: Kind.TEMPERATURE_DIFFERENCE, Kind.ABSOLUTE_PRESSURE: Kind.PRESSURE,
}  # fmt: skip


@dataclass(frozen=True)
class QuestionView:
    """A question and whether this log answers it."""

    asks: str
    answer: str
    key: str
    said: str


@dataclass(frozen=True)
class SensorView:
    """A channel of which there is something to know. `key` "" where nothing is wrong with it."""

    title: str
    key: str
    said: str


@dataclass(frozen=True)
class SignalsView:
    """Both sections.

    `questions` : what the log does not answer, or only in part.
    `answered` : what it does; `lacks`: what it has no channel for and no line of the verdict
                 speaks of. A sentence each, "" if none.
    `paces` : how often the channels are read and by what steps, a sentence for each pace.
    """

    questions: tuple[QuestionView, ...]
    answered: str
    lacks: str
    summary: str
    sensors: tuple[SensorView, ...]
    paces: tuple[str, ...]


NO_SIGNALS = SignalsView((), "", "", "", (), ())


def signals_view(review: Review, prefer: Preferences) -> SignalsView:
    """What the verdict page says of a log as a witness."""
    if not review.signals:
        return NO_SIGNALS
    open_ = [a for a in review.asked if a.shown is not Shown.YES and not a.lacks]
    told = {f.check for f in review.verdict.findings}
    seen = (_sensor(signal, prefer) for signal in review.signals.values())
    sensors = sorted((s for s in seen if s.said), key=lambda s: not s.key)
    return SignalsView(
        tuple(_question(a, prefer) for a in sorted(open_, key=lambda a: a.shown is not Shown.NO)),
        _answered([a for a in review.asked if a.shown is Shown.YES]),
        _lacks([a for a in review.asked if a.lacks and not told.intersection(a.checks)]),
        _summary(review, prefer),
        tuple(sensors),
        _paces(review, prefer),
    )


def _answered(asked: list[Answered]) -> str:
    if not asked:
        return ""
    return f"Answered in full: {'; '.join(in_sentence(a.asks) for a in asked)}."


def _summary(review: Review, prefer: Preferences) -> str:
    """One sentence on faults, and one on a logger that repeats itself."""
    signals = review.signals.values()
    whole = counted(len(signals), "channel")
    faulty = sum(1 for s in signals if any(f.flaw is not Flaw.REPEATED for f in s.faults))
    said = [f"Something is wrong with {faulty} of {whole}." if faulty else
            f"None of {whole} stands still, is cut off or drops out."]  # fmt: skip
    again = [f for s in signals if (f := s.fault(Flaw.REPEATED))]
    if again:
        said.append(f"The logger repeats old readings: {in_sentence(again[0].said.read(prefer))}")
    return " ".join(said)


def _paces(review: Review, prefer: Preferences) -> tuple[str, ...]:
    groups: dict[str, list[str]] = {}
    for signal in sorted(review.signals.values(), key=lambda s: s.interval):
        step = _step(signal, prefer)
        title = in_sentence(vocabulary().entries[signal.channel].channel.title)
        groups.setdefault(_read(signal, prefer), []).append(f"{title} ({step})" if step else title)
    return tuple(
        f"Read {pace}, in brackets the smallest step: {', '.join(names)}."
        for pace, names in groups.items()
    )


def _question(asked: Answered, prefer: Preferences) -> QuestionView:
    return QuestionView(
        asked.asks, asked.shown.value.capitalize(), key(ANSWERS[asked.shown]),
        asked.said.read(prefer),
    )  # fmt: skip


def _lacks(asked: list[Answered]) -> str:
    if not asked:
        return ""
    parts = "; ".join(f"{in_sentence(a.asks)} (no {_short(a.lacks)})" for a in asked)
    return f"Nothing to answer these by: {parts}."


def _short(lacks: str) -> str:
    return "load" if lacks.startswith("anything") else lacks


def _sensor(signal: Signal, prefer: Preferences) -> SensorView:
    said = [f.said.read(prefer) for f in signal.faults if f.flaw is not Flaw.REPEATED]
    late = _late(signal, prefer)
    if signal.longest > max(_GAP * signal.interval, _SILENCE) and signal.readings > 1:
        said.append(f"Longest silence {show(Quantity(signal.longest, Kind.DURATION), prefer)}.")
    return SensorView(
        vocabulary().entries[signal.channel].channel.title,
        _key(signal),
        " ".join([*said, *late]),
    )


def _key(signal: Signal) -> str:
    """Style of the worst fault: a sensor that is no use, or one to be careful with."""
    if signal.fault(Flaw.STUCK) or signal.fault(Flaw.CLIPPED):
        return key(Answer.BROKEN)
    return key(Answer.TOO_LITTLE) if signal.fault(Flaw.DROPPED_OUT) else ""


def _read(signal: Signal, prefer: Preferences) -> str:
    if signal.readings < 2 or signal.interval <= 0:
        return "once"
    text = Said(*paced(signal.interval)).read(prefer)
    return f"{text}, in turn with others" if signal.polled else text


def _step(signal: Signal, prefer: Preferences) -> str:
    if signal.step is None or signal.kind is Kind.DISTANCE:  # miles of altitude tell nothing
        return ""
    kind = _DIFFERENCE.get(signal.kind, signal.kind)
    value, unit = shown_value(Quantity(signal.step, kind), prefer)
    return f"{float(f'{value:.2g}'):,g} {unit}".strip()


def _late(signal: Signal, prefer: Preferences) -> list[str]:
    lag = signal.lag
    if lag is None or abs(lag.seconds) <= max(lag.within, _flag(signal, lag)):
        return []
    long = show(Quantity(abs(lag.seconds), Kind.DURATION), prefer)
    leader = in_sentence(vocabulary().entries[lag.behind].channel.title)
    late = f"Follows {leader} {long} late."
    return [late if lag.seconds > 0 else f"Runs {long} ahead of {leader}."]


def _flag(signal: Signal, lag: Lag) -> float:
    pairs = rules().followers
    return next(p.flag for p in pairs if (p.name, p.behind) == (signal.channel, lag.behind))
