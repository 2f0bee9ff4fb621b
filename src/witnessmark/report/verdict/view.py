"""A review as its reader sees it: words only, in his units, the same for every output."""

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta

from witnessmark.jobs.review import Review
from witnessmark.model.channel import Column, Sure
from witnessmark.model.finding import Answer, Event, Finding, Tabled, Verdict
from witnessmark.model.log import Log
from witnessmark.model.plan import RunPlan
from witnessmark.report.plan.view import Fact
from witnessmark.report.verdict.gears_view import GearsView, gears_view
from witnessmark.report.verdict.passed import Odometer, into_words, passed_words
from witnessmark.report.verdict.pressure_view import PressureMapView, pressure_map_view
from witnessmark.report.verdict.signals_view import NO_SIGNALS, SignalsView, signals_view
from witnessmark.report.words import (
    ORDER,
    counted,
    in_sentence,
    key,
    listed,
    printable,
    short,
    word,
)
from witnessmark.units import Kind, Preferences, Quantity, show

MOMENTS_A_FINDING = 6  # more than this on one line hides the rest of the page
NAMED_IN_HEADLINE = 3


@dataclass(frozen=True)
class MomentView:
    """One moment of the log.

    `number` : the same in the list and in the chart; 0 for a moment that broke nothing (a good
               pull), which is listed with its line only.
    """

    number: int
    title: str
    answer: str
    key: str
    said: str
    at: str
    clock: str  # wall clock, "" if the file does not say
    lasted: str
    passed: str  # distance and turns that went by in it, as far as the log shows
    into: str  # how far into the drive it began, "" without a road speed


@dataclass(frozen=True)
class TableView:
    """A small table behind a line: each row as long as the heads."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class FindingView:
    """One line of the verdict. `who` is "" where no limit stands behind the line."""

    check: str
    title: str
    answer: str
    key: str
    found: str
    who: str
    required: bool
    do_next: str
    moments: tuple[MomentView, ...]
    moments_left: str  # what the list leaves out, "" if nothing
    table: TableView | None = None


@dataclass(frozen=True)
class ColumnView:
    """One column of the file and what the reader took it for."""

    name: str
    taken_for: str
    unit: str
    how: str
    why: str
    shown: str


@dataclass(frozen=True)
class NoteView:
    """A repair or an assumption."""

    where: str
    said: str


@dataclass(frozen=True)
class CountView:
    """How many lines got an answer."""

    answer: str
    key: str
    number: int


@dataclass(frozen=True)
class VerdictView:
    """The whole review in words.

    `findings` leaves out what the log does not show and the phase does not ask for: that is
    gathered, a line each, behind what it must have, in `missing`.
    """

    serial: str
    engine: str
    phase: str
    answer: str
    key: str
    headline: str
    counts: tuple[CountView, ...]
    facts: tuple[Fact, ...]
    findings: tuple[FindingView, ...]
    moments: tuple[MomentView, ...]
    missing: tuple[FindingView, ...]
    columns: tuple[ColumnView, ...]
    notes: tuple[NoteView, ...]
    school_why: str
    footer: str
    gears: GearsView | None = None
    pressure: PressureMapView | None = None
    signals: SignalsView = NO_SIGNALS


def in_order(verdict: Verdict) -> list[Finding]:
    """Findings as they are read: broken, too little, not shown, kept.

    Of the kept those with a question first; of all others those the phase requires.
    """
    return sorted(
        verdict.findings, key=lambda f: (ORDER.index(f.answer), not f.asks, not f.required)
    )


def listed_events(finding: Finding) -> list[Event]:
    """The moments that are printed: all, or the longest few, in the order of time."""
    longest = sorted(finding.events, key=lambda e: -e.span.length)[:MOMENTS_A_FINDING]
    return sorted(longest, key=lambda e: e.span.start)


def numbered(verdict: Verdict) -> list[tuple[int, Finding, Event]]:
    """The moments a limit was broken, numbered in the order of the findings."""
    pairs = [
        (finding, event)
        for finding in in_order(verdict)
        if finding.answer is Answer.BROKEN
        for event in listed_events(finding)
        if event.broke
    ]
    return [(n, finding, event) for n, (finding, event) in enumerate(pairs, 1)]


def headline(verdict: Verdict) -> str:
    """The verdict in one or two plain sentences.

    The first names the lines that decide the answer, the second counts what else is open.
    """
    answer = verdict.answer
    deciding = [
        f.title
        for f in verdict.findings
        if f.answer is answer and (f.required or answer is Answer.BROKEN)
    ]
    if answer is Answer.KEPT:
        whole = "the one line" if len(deciding) == 1 else f"all {len(deciding)} lines"
        first = f"Kept: {whole} this phase requires."
    elif deciding:
        first = f"{word(answer)}: {_named(deciding)}."
    else:
        first = "Not shown: the log holds nothing that this phase requires."
    return " ".join(filter(None, (first, _open(verdict, deciding))))


def _named(titles: list[str]) -> str:
    names = [in_sentence(t) for t in titles]
    if len(names) <= NAMED_IN_HEADLINE:
        return listed(names)
    return f"{', '.join(names[:NAMED_IN_HEADLINE])} and {len(names) - NAMED_IN_HEADLINE} more"


def _open(verdict: Verdict, deciding: list[str]) -> str:
    counts = Counter(f.answer for f in verdict.findings)
    if verdict.answer is not Answer.KEPT:
        counts[verdict.answer] -= len(deciding)
    parts = [(counts[a], a.value) for a in (Answer.TOO_LITTLE, Answer.NOT_SHOWN) if counts[a]]
    if asks := sum(f.asks for f in verdict.findings):
        parts.append((asks, "kept with a question"))
    if not parts:
        return ""
    (first, what), *rest = parts
    more = "more " if what == verdict.answer.value and deciding else ""
    said = [f"{counted(first, f'{more}line')} {what}", *(f"{n} {a}" for n, a in rest)]
    return ", ".join(said) + "."


def verdict_view(review: Review, prefer: Preferences | None = None) -> VerdictView:
    """The review in words, in the reader's units (the plan's own if None)."""
    prefer = prefer or review.plan.prefer
    numbers = {id(event): n for n, _, event in numbered(review.verdict)}
    odometer = Odometer(review.log)
    findings = tuple(
        _finding(
            f,
            prefer,
            tuple(_moment(numbers.get(id(e), 0), f, e, odometer, prefer) for e in listed_events(f)),
        )
        for f in in_order(review.verdict)
    )
    counts = Counter(f.answer for f in review.verdict.findings)
    answer = review.verdict.answer
    view = VerdictView(
        serial=review.plan.serial,
        engine=review.plan.engine,
        phase=review.phase.title,
        answer=word(answer),
        key=key(answer),
        headline=headline(review.verdict),
        counts=tuple(CountView(word(a), key(a), counts[a]) for a in ORDER),
        facts=_facts(review),
        findings=tuple(f for f in findings if f.required or f.key != key(Answer.NOT_SHOWN)),
        moments=tuple(m for f in findings for m in f.moments if m.number),
        missing=tuple(f for f in findings if f.key == key(Answer.NOT_SHOWN)),
        columns=_columns(review.log, prefer),
        notes=tuple(NoteView(n.where, n.said) for n in review.log.notes),
        school_why=review.plan.choice.school_why,
        footer=f"{review.plan.serial} · recipe {short(review.plan.choice.sha256)} · "
        f"log {short(review.log.source.sha256)}",
        gears=gears_view(review.gears, prefer),
        pressure=pressure_map_view(review.pressure_map, prefer),
        signals=signals_view(review, prefer),
    )
    return printable(view)


def _moment(
    number: int, finding: Finding, event: Event, odometer: Odometer, prefer: Preferences
) -> MomentView:
    return MomentView(
        number=number,
        title=finding.title,
        answer=word(finding.answer),
        key=key(finding.answer),
        said=event.said.read(prefer),
        at=_seconds(event.span.start),
        clock=_clock(odometer.log, event.span.start),
        lasted=_seconds(event.span.length),
        passed=passed_words(odometer.passed(event.span), prefer),
        into=into_words(odometer.before(event.span.start), prefer),
    )


def _finding(finding: Finding, prefer: Preferences, moments: tuple[MomentView, ...]) -> FindingView:
    left = len(finding.events) - len(moments)
    return FindingView(
        check=finding.check,
        title=finding.title,
        answer=f"{word(finding.answer)}, but ask" if finding.asks else word(finding.answer),
        key=key(finding.answer),
        found=finding.said.read(prefer),
        who=str(finding.authority) if finding.authority else "",
        required=finding.required,
        do_next=finding.do_next.read(prefer) if finding.do_next else "",
        moments=moments,
        table=_table(finding.table, prefer),
        moments_left=f"The {len(moments)} longest; {left} shorter not listed." if left else "",
    )


def _table(table: Tabled | None, prefer: Preferences) -> TableView | None:
    if table is None:
        return None
    rows = tuple(tuple(cell.read(prefer) for cell in row) for row in table.rows)
    return TableView(table.heads, rows)


def _seconds(seconds: float) -> str:
    return show(Quantity(seconds, Kind.DURATION), Preferences())


def _clock(log: Log, seconds: float) -> str:
    if log.started is None:
        return ""
    return f"{log.started + timedelta(seconds=seconds):%H:%M:%S}"


def _facts(review: Review) -> tuple[Fact, ...]:
    plan, log = review.plan, review.log
    length = float(log.time[-1] - log.time[0] + log.held[-1]) if len(log.time) else 0.0
    held = float(log.held.sum())
    whole = length - held < 0.5
    recorded = "without a pause" if whole else f"{_seconds(held)} of it recorded"
    started = f"{log.started:%Y-%m-%d %H:%M:%S}" if log.started else "the file does not say"
    return (
        Fact("Serial", plan.serial),
        Fact("Engine", plan.engine),
        Fact("Phase", f"{review.phase.title} ({review.phase.id})"),
        Fact("Log file", log.source.name),
        Fact("Log started", started),
        Fact(
            "Log length",
            f"{_seconds(length)}, {recorded}, {log.source.rows:,} rows",
        ),
        Fact("Log hash (SHA-256)", log.source.sha256),
        Fact("Recipe", f"{plan.choice.title} ({plan.choice.recipe} {plan.choice.version})"),
        Fact("School", plan.choice.school),
        Fact("Oil pressure judged", _pressure(plan)),
        Fact("Recipe hash", short(plan.choice.sha256)),
        Fact("Build sheet hash", short(plan.build_sha256)),
    )


def _pressure(plan: RunPlan) -> str:
    if plan.band is None:
        return f"by the rule of thumb: {plan.no_band}"
    return f"by this engine's own band, {plan.band.basis}"


def _how_sure(column: Column) -> str:
    """How sure, and by what: "Certain: name and unit", "Unsure: asked"."""
    if column.sure is None or column.sure is Sure.ASKED:
        return (column.sure or column.how).value.capitalize()
    return f"{column.sure.value.capitalize()}: {column.how.value}"


def _columns(log: Log, prefer: Preferences) -> tuple[ColumnView, ...]:
    return tuple(
        ColumnView(
            name=c.name if c.unit in c.name else f"{c.name} [{c.unit}]",
            taken_for=c.channel.replace("_", " ") if c.channel else "",
            unit=c.taken_unit,
            how=_how_sure(c),
            why=c.why,
            shown=show(Quantity(c.shown, Kind.FRACTION), prefer),
        )
        for c in log.columns
    )
