"""A run-in plan as its reader sees it: words only, in his units, the same for every output."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from witnessmark.model.plan import Abort, Inspection, Limit, Line, Phase, RunPlan, Service, Step
from witnessmark.report.plan.answers import AnswerView, answer_views
from witnessmark.report.plan.pressure import PressureView, pressure_view
from witnessmark.report.words import counted, in_sentence, plain, printable, short, title
from witnessmark.units import Kind, Preferences, show


@dataclass(frozen=True)
class Note:
    """A numbered "why, and who says so"; lines that share one share its number."""

    number: int
    why: str
    who: str


@dataclass(frozen=True)
class NumberView:
    """A number, the spread others use ("" if not known), and its note."""

    name: str
    value: str
    spread: str
    note: Note


@dataclass(frozen=True)
class LineView:
    """A sentence, its note, and the numbers in it that somebody set."""

    text: str
    note: Note
    numbers: tuple[NumberView, ...]


@dataclass(frozen=True)
class InspectionView:
    """One thing to look at, with what to do when it is wrong."""

    text: str
    note: Note
    numbers: tuple[NumberView, ...]
    if_wrong: str
    hard_stop: bool
    by: str


@dataclass(frozen=True)
class PlaceView:
    """The inspections of one place."""

    place: str
    items: tuple[InspectionView, ...]


@dataclass(frozen=True)
class StepView:
    """A timed step, numbered within its phase."""

    number: int
    doing: str
    text: str
    note: Note
    numbers: tuple[NumberView, ...]


@dataclass(frozen=True)
class PhaseView:
    """A phase; `blanks` heads the columns left empty for a pen."""

    id: str
    number: int
    title: str
    place: str
    gates: tuple[LineView, ...]
    ceilings: tuple[NumberView, ...]
    film: LineView | None
    cautions: tuple[LineView, ...]
    steps: tuple[StepView, ...]
    evidence: tuple[NumberView, ...]
    needs: tuple[str, ...]
    then: tuple[LineView, ...]
    reviewed: bool
    blanks: tuple[str, ...]


@dataclass(frozen=True)
class ServiceView:
    """A service and when it falls due; `due` holds whichever of the three are set."""

    title: str
    text: str
    note: Note
    numbers: tuple[NumberView, ...]
    due: tuple[NumberView, ...]


@dataclass(frozen=True)
class AbortView:
    """A reason to shut off; `general` what is said of any engine, beside this engine's own."""

    text: str
    note: Note
    numbers: tuple[NumberView, ...]
    then: str
    general: LineView | None


@dataclass(frozen=True)
class AssumptionView:
    """What the build sheet left out."""

    path: str
    text: str
    why: str


@dataclass(frozen=True)
class Fact:
    """A name and a value for the head of a page."""

    name: str
    value: str


@dataclass(frozen=True)
class PlanView:
    """The whole plan in words."""

    serial: str
    engine: str
    facts: tuple[Fact, ...]
    school: str
    school_why: str
    chosen_why: str
    set_aside: tuple[str, ...]
    fuel: tuple[LineView, ...]
    oil: tuple[LineView, ...]
    inspections: tuple[PlaceView, ...]
    hard_stops: str
    cautions: tuple[LineView, ...]
    prime: tuple[LineView, ...]
    pressure: PressureView
    aborts: tuple[AbortView, ...]
    phases: tuple[PhaseView, ...]
    services: tuple[ServiceView, ...]
    service_blanks: tuple[str, ...]
    limits: tuple[NumberView, ...]
    assumptions: tuple[AssumptionView, ...]
    notes: tuple[Note, ...]
    answers: tuple[AnswerView, ...]  # of the tuner, the last one first
    footer: str


class _Writer:
    """Turns model lines into words, handing out note numbers in reading order."""

    def __init__(self, prefer: Preferences, numbered: bool) -> None:
        self.prefer = prefer
        self.numbered = numbered
        self._notes: dict[tuple[str, str], Note] = {}

    @property
    def notes(self) -> tuple[Note, ...]:
        return tuple(self._notes.values())

    def note(self, source: Line | Limit) -> Note:
        why, who = source.why, str(source.authority)
        if not self.numbered:
            return Note(0, why, who)
        return self._notes.setdefault((why, who), Note(len(self._notes) + 1, why, who))

    def line(self, line: Line) -> LineView:
        text = line.said.read(self.prefer)
        return LineView(text, self.note(line), self.numbers(line.numbers))

    def lines(self, lines: tuple[Line, ...]) -> tuple[LineView, ...]:
        return tuple(self.line(line) for line in lines)

    def number(self, name: str, limit: Limit) -> NumberView:
        spread = _spread(limit, self.prefer)
        return NumberView(title(name), show(limit.value, self.prefer), spread, self.note(limit))

    def numbers(self, limits: Mapping[str, Limit]) -> tuple[NumberView, ...]:
        return tuple(self.number(name, limit) for name, limit in limits.items())

    def inspection(self, item: Inspection) -> InspectionView:
        line = self.line(item.line)
        return InspectionView(
            line.text, line.note, line.numbers, item.if_wrong, item.hard_stop, item.by
        )

    def abort(self, abort: Abort) -> AbortView:
        line = self.line(abort.line)
        general = None
        if abort.general is not None:
            found, who = self.line(abort.general), abort.general.authority
            begins = f"For comparison, {who.source} ({who.owner}): "
            general = replace(found, text=begins + in_sentence(found.text))
        return AbortView(line.text, line.note, line.numbers, abort.then, general)

    def step(self, number: int, step: Step) -> StepView:
        text, note = step.line.said.read(self.prefer), self.note(step.line)
        numbers = self.numbers({**step.line.numbers, **step.numbers})
        return StepView(number, step.doing.value, text, note, numbers)

    def phase(self, number: int, phase: Phase) -> PhaseView:
        return PhaseView(
            id=phase.id,
            number=number,
            title=phase.title,
            place=phase.place,
            gates=self.lines(phase.gates),
            ceilings=self.numbers(phase.ceilings),
            film=self.line(phase.film) if phase.film else None,
            cautions=self.lines(phase.cautions),
            steps=tuple(self.step(n, step) for n, step in enumerate(phase.steps, 1)),
            evidence=self.numbers(phase.evidence),
            needs=tuple(plain(name) for name in phase.needs),
            then=self.lines(phase.then),
            reviewed=phase.reviewed,
            blanks=self._blanks(phase),
        )

    def _blanks(self, phase: Phase) -> tuple[str, ...]:
        if "road" in phase.place:
            return (f"Odometer, {self.prefer.unit(Kind.DISTANCE)}", "Clock", "Initials")
        pressure, heat = self.prefer.unit(Kind.PRESSURE), self.prefer.unit(Kind.TEMPERATURE)
        return (f"Oil, {pressure}", f"Coolant, {heat}", "Clock", "Initials")

    def service(self, service: Service) -> ServiceView:
        line = self.line(service.line)
        due = {
            "distance": service.distance,
            "running time": service.running_time,
            "days since first fire": service.calendar_time,
        }
        return ServiceView(
            service.title,
            line.text,
            line.note,
            line.numbers,
            tuple(self.number(name, limit) for name, limit in due.items() if limit),
        )


def plan_view(
    plan: RunPlan, prefer: Preferences | None = None, sha256: str = "", numbered: bool = True
) -> PlanView:
    """The plan in words.

    `prefer` : the reader's units; the plan's own if None.
    `sha256` : hash of the frozen plan, "" when it has not been frozen.
    `numbered` : False gives every note the number 0 and an empty list of notes.
    """
    write = _Writer(prefer or plan.prefer, numbered)
    # Written in the order the card is read, so that note numbers rise down the page.
    fuel, oil = write.lines(plan.fuel), write.lines(plan.oil)
    inspections = _by_place(plan.inspections, write)
    cautions, prime = write.lines(plan.cautions), write.lines(plan.prime)
    aborts = tuple(write.abort(abort) for abort in plan.aborts)
    phases = tuple(write.phase(n, phase) for n, phase in enumerate(plan.phases, 1))
    services = tuple(write.service(service) for service in plan.services)
    notes = write.notes  # the judging numbers below are printed with their own why beside them
    limits = write.numbers(plan.limits)
    stops = sum(item.hard_stop for item in plan.inspections)
    view = PlanView(
        serial=plan.serial,
        engine=plan.engine,
        facts=_facts(plan, sha256),
        school=plan.choice.school,
        school_why=plan.choice.school_why,
        chosen_why=plan.choice.chosen_why,
        set_aside=plan.choice.set_aside,
        fuel=fuel,
        oil=oil,
        inspections=inspections,
        hard_stops=counted(stops, "hard stop"),
        cautions=cautions,
        prime=prime,
        pressure=pressure_view(plan, write.prefer),
        aborts=aborts,
        phases=phases,
        services=services,
        service_blanks=(f"At, {write.prefer.unit(Kind.DISTANCE)}", "Date", "By"),
        limits=limits,
        assumptions=tuple(
            AssumptionView(a.path, a.said.read(write.prefer), a.why) for a in plan.assumptions
        ),
        notes=notes,
        answers=answer_views(plan, write.prefer),
        footer=_footer(plan, sha256),
    )
    return printable(view)


def _spread(limit: Limit, prefer: Preferences) -> str:
    low, high = ("" if q is None else show(q, prefer) for q in (limit.low, limit.high))
    if not low or not high:
        return f"{low} or more" if low else f"up to {high}" if high else ""
    if low == high:
        return ""
    number, _, unit = low.partition(" ")
    return f"{number if high.endswith(f' {unit}') else low} to {high}"


def _by_place(items: tuple[Inspection, ...], write: _Writer) -> tuple[PlaceView, ...]:
    places: dict[str, list[InspectionView]] = {}
    for item in items:
        places.setdefault(item.place, []).append(write.inspection(item))
    return tuple(PlaceView(place, tuple(views)) for place, views in places.items())


def _facts(plan: RunPlan, sha256: str) -> tuple[Fact, ...]:
    choice = plan.choice
    return (
        Fact("Serial", plan.serial),
        Fact("Engine", plan.engine),
        Fact("Recipe", f"{choice.title} ({choice.recipe} {choice.version})"),
        Fact("Recipe set by", choice.owner),
        Fact("School", choice.school),
        Fact("Recipe hash", short(choice.sha256)),
        Fact("Build sheet hash", short(plan.build_sha256)),
        Fact("Plan hash", short(sha256) or "not frozen yet"),
    )


def _footer(plan: RunPlan, sha256: str) -> str:
    frozen = f"plan {short(sha256)}" if sha256 else "plan not frozen"
    return f"{plan.serial} · recipe {short(plan.choice.sha256)} · {frozen}"
