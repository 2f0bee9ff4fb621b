"""A first heat as its reader sees it: steps beside the plan, what was found, stops in between."""

from collections import Counter
from dataclasses import dataclass

from witnessmark.jobs.first_heat import FirstHeat
from witnessmark.model.finding import Answer
from witnessmark.model.first_heat import Done, Ended, Found, Interruption, Pass, StepFound
from witnessmark.model.log import Span
from witnessmark.model.plan import Doing, Step
from witnessmark.report.verdict.view import VerdictView, verdict_view
from witnessmark.report.words import counted, in_sentence, key, listed, printable
from witnessmark.units import Kind, Preferences, Quantity, show

_KEYS = {
    Done.DONE: key(Answer.KEPT),
    Done.PARTLY: key(Answer.TOO_LITTLE),
    Done.NOT_DONE: key(Answer.TOO_LITTLE),
    Done.NOT_SHOWN: key(Answer.NOT_SHOWN),
}
_NAMES = {
    Doing.CRANK: "Crank", Doing.REST: "Rest the starter", Doing.FIRE: "Fire", Doing.STOP: "Stop",
    Doing.HOLD: "Hold", Doing.SWEEP: "Sweep", Doing.LOAD: "Load", Doing.DRIVE: "Drive",
}  # fmt: skip


@dataclass(frozen=True)
class StepView:
    """One step of the plan. `number` : the same in the table and the chart."""

    number: int
    phase: str
    name: str
    planned: str
    done: str
    key: str
    found: str
    do_next: str
    at: str  # when in the log, "" if it is not there


@dataclass(frozen=True)
class MomentFound:
    """One thing the recording shows."""

    at: str
    what: str
    lasted: str
    said: str


@dataclass(frozen=True)
class PhasesView:
    """The whole page."""

    serial: str
    engine: str
    key: str
    headline: str
    steps: tuple[StepView, ...]
    remarks: tuple[str, ...]
    stops: tuple[MomentFound, ...]
    moments: tuple[MomentFound, ...]
    verdict: VerdictView
    footer: str


def phases_view(found: FirstHeat, prefer: Preferences | None = None) -> PhasesView:
    """A first heat in words. `prefer` : the reader's units; the plan's own if None."""
    chosen = prefer or found.review.plan.prefer
    verdict = verdict_view(found.review, chosen)
    view = PhasesView(
        serial=verdict.serial,
        engine=verdict.engine,
        key=verdict.key,
        headline=f"{summary(found)} {verdict.headline}",
        steps=tuple(_step(n, step, chosen) for n, step in enumerate(found.steps, 1)),
        remarks=remarks(found),
        stops=tuple(_stop(one) for one in found.interruptions),
        moments=_moments(found, chosen),
        verdict=verdict,
        footer=verdict.footer,
    )
    return printable(view)


def summary(found: FirstHeat) -> str:
    """How many steps of the plan were done, in a sentence."""
    counts = Counter(step.done for step in found.steps)
    rest = [f"{counts[d]} {d.value}" for d in list(Done)[1:] if counts[d]]
    total = counted(len(found.steps), "planned step")
    return ", ".join([f"Of {total} {counts[Done.DONE]} done", *rest]) + "."


def step_name(step: Step) -> str:
    """A step in a word."""
    return _NAMES[step.doing]


def remarks(found: FirstHeat) -> tuple[str, ...]:
    """What is to be said of the whole: steps in the wrong order."""
    return tuple(
        f"Out of order: {in_sentence(_at(swap.later))} came before {in_sentence(_at(swap.sooner))}."
        for swap in found.swapped
    )


def _at(step: StepFound) -> str:
    return f"{step_name(step.step)} ({_time(step.spans[0].start)})"


def _step(number: int, found: StepFound, prefer: Preferences) -> StepView:
    return StepView(
        number=number,
        phase=found.phase.title,
        name=step_name(found.step),
        planned=found.step.line.said.read(prefer),
        done=found.done.value.capitalize(),
        key=_KEYS[found.done],
        found=found.said.read(prefer),
        do_next=found.do_next.read(prefer) if found.do_next else "",
        at=when(found.spans),
    )


def when(spans: tuple[Span, ...]) -> str:
    """From when to when in the log, "" if nowhere."""
    if not spans:
        return ""
    return f"{_time(spans[0].start)} to {_time(spans[-1].end)}"


def _time(seconds: float) -> str:
    """A moment of the log as a clock shows it: 4:05, 1:02:05."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def _lasted(seconds: float) -> str:
    return show(Quantity(seconds, Kind.DURATION), Preferences())


def _stop(one: Interruption) -> MomentFound:
    back = "Not taken up again in that run."
    if one.back is not None:
        back = f"Back at work {_lasted(one.back)} after it fired."
    cause = one.how.value.capitalize()
    if one.how is Ended.LIMIT:
        cause += f": {in_sentence(one.what)}"
    return MomentFound(_time(one.span.start), cause, _lasted(one.span.length), back)


def _moments(found: FirstHeat, prefer: Preferences) -> tuple[MomentFound, ...]:
    """All that was found, in the order of time."""
    seen = found.found
    rows = [*_starts(seen, prefer), *_idles(seen), *_work(found, prefer)]
    ordered = sorted(rows, key=lambda row: row[0])
    return tuple(row[1] for row in ordered)


def _row(span: Span, what: str, said: str = "") -> tuple[float, MomentFound]:
    return span.start, MomentFound(_time(span.start), what, _lasted(span.length), said)


def _starts(seen: Found, prefer: Preferences) -> list[tuple[float, MomentFound]]:
    rows = [_row(seen.key_on, "Standing", "recording, not turning")] if seen.key_on else []
    for burst in seen.bursts:
        gauge = ""
        if burst.pressure is not None:
            most = show(Quantity(burst.pressure, Kind.PRESSURE), prefer)
            gauge = f"oil pressure up to {most}"
        what = "Cranked, then fired" if burst.fired else "Cranked"
        rows.append(_row(burst.span, what, gauge))
    for run in seen.runs:
        came = run.pressure_after
        pressure = "" if not came else f"oil pressure after {_lasted(came)}; "
        what = "Ran" if run.start_shown else "Ran (start not recorded)"
        rows.append(_row(run.span, what, f"{pressure}{run.ended.value}"))
    return rows


def _idles(seen: Found) -> list[tuple[float, MomentFound]]:
    return [_row(span, "Idled") for span in seen.idles]


def _work(found: FirstHeat, prefer: Preferences) -> list[tuple[float, MomentFound]]:
    rows = []
    for place, hold in found.found.holds.items():
        speed = show(found.review.phase.steps[place].numbers["speed"].value, prefer)
        rows += [_row(span, f"Held {speed}") for span in hold.spans]
    for sweeps in found.found.sweeps.values():
        for sweep in sweeps:
            span = Span(sweep.spans[0].start, sweep.spans[-1].end)
            rows.append(_row(span, "Swept", listed([_pass(p, prefer) for p in sweep.passes])))
    return rows


def _pass(one: Pass, prefer: Preferences) -> str:
    first, last = (
        show(Quantity(stay.speed, Kind.ROTATIONAL_SPEED), prefer)
        for stay in (one.stays[0], one.stays[-1])
    )
    way = "up" if one.rising else "down"
    half = "" if one.whole else " (half-way)"
    return f"{way} {first} to {last} in {counted(len(one.stays), 'stay')}{half}"
