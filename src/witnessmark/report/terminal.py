"""Plan and verdict for a terminal of 80 columns. Light to import: no charts, no typesetting."""

from collections.abc import Iterable, Sequence

from rich import box
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from witnessmark.jobs.review import Review
from witnessmark.model.finding import Answer
from witnessmark.model.plan import RunPlan
from witnessmark.report.plan.pressure import ExpectedView, PressureView
from witnessmark.report.plan.view import (
    AbortView,
    Fact,
    InspectionView,
    LineView,
    Note,
    NumberView,
    PhaseView,
    PlanView,
    ServiceView,
    plan_view,
)  # fmt: skip
from witnessmark.report.verdict.view import FindingView, VerdictView, verdict_view
from witnessmark.report.words import key
from witnessmark.units import Preferences

_MARKS = {
    key(Answer.KEPT): ("━━━━", "===="),
    key(Answer.BROKEN): ("▀▀▄▄", "==__"),
    key(Answer.TOO_LITTLE): ("━━╌╌", "==.."),
    key(Answer.NOT_SHOWN): ("╌╌╌╌", "...."),
}
_TONES = {
    key(Answer.KEPT): "bold green",
    key(Answer.BROKEN): "bold red",
    key(Answer.TOO_LITTLE): "bold yellow",
    key(Answer.NOT_SHOWN): "bold",
}


class _Mark:
    """The mark of an answer; plain letters where the terminal cannot draw lines."""

    def __init__(self, answer: str) -> None:
        self.answer = answer

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        drawn, letters = _MARKS[self.answer]
        yield Text(letters if options.ascii_only else drawn, _TONES[self.answer])


def plan_terminal(
    plan: RunPlan, prefer: Preferences | None = None, sha256: str = "", reasons: bool = True
) -> RenderableType:
    """The plan for a terminal; arguments as `report.html.plan_html`.

    `reasons` : whether every line's why and who stand at the end, and the judging numbers.
    """
    view = plan_view(plan, prefer, sha256, numbered=reasons)
    parts: list[RenderableType] = [
        _title(f"Run-in plan {view.serial}"),
        _facts(view.facts),
        _paragraph(view.chosen_why),
        _paragraph(f"School: {view.school}. {view.school_why}"),
    ]
    parts += [_title("Other recipes, and why not")] if view.set_aside else []
    parts.extend(_paragraph(text) for text in view.set_aside)
    if view.assumptions:
        parts.append(_title("Not on the build sheet, so assumed"))
        parts.extend(_paragraph(f"{a.text} ({a.path}) {a.why}") for a in view.assumptions)
    parts += [_title("Fuel and oil"), _lines((*view.fuel, *view.oil))]
    parts += _inspections(view)
    parts += [_title("Prime"), *_cautions(view.cautions), _lines(view.prime, tick=True)]
    parts += [_title("Oil pressure to expect"), *_pressure(view.pressure)]
    parts.append(_aborts(view))
    for phase in view.phases:
        parts += _phase(phase)
    parts += [_title("Oil and filter"), _services(view)]
    if reasons:
        parts += [_title("Numbers a log is judged by"), _numbers(view.limits)]
        parts += [_title("Why, and who says so"), _notes(view.notes)]
    return Group(*parts)


def verdict_terminal(review: Review, prefer: Preferences | None = None) -> RenderableType:
    """The review for a terminal; `prefer` as in `plan_terminal`."""
    view = verdict_view(review, prefer)
    parts: list[RenderableType] = [
        Padding(
            Panel(
                Group(_Mark(view.key), Text(view.headline, "bold")),
                title=Text(f"{view.serial} · {view.phase}"), title_align="left",
                box=box.HEAVY, style=_TONES[view.key], padding=(0, 1),
            ), (1, 0, 0, 0),
        ),
        Text(" · ".join(f"{c.number} {c.answer.lower()}" for c in view.counts)),
        _title("Line by line"),
        _findings(view.findings),
    ]  # fmt: skip
    if view.moments:
        parts += [_title("Worst moments"), _moments(view)]
    parts.append(_title("What this log does not show"))
    if view.missing:
        parts.extend(
            _paragraph(f"{f.title}{' (required)' if f.required else ''}: {f.do_next or f.found}")
            for f in view.missing
        )
    else:
        parts.append(_paragraph("Every line of this phase had something to be judged by."))
    parts += [_title("How the file was read"), *_reading(view)]
    parts += [_title("What this verdict rests on"), _facts(view.facts)]
    parts.append(_paragraph(view.school_why))
    return Group(*parts)


def _title(text: str) -> RenderableType:
    return Padding(Text(text.upper(), "bold underline"), (1, 0, 0, 0))


def _paragraph(text: str) -> RenderableType:
    return Text(text)


def _table(*heads: str) -> Table:
    table = Table(box=box.SIMPLE_HEAD, expand=True, pad_edge=False, padding=(0, 1, 0, 0))
    for head in heads:
        table.add_column(Text(head), overflow="fold")
    return table


def _facts(facts: Iterable[Fact]) -> Table:
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for fact in facts:
        grid.add_row(Text(fact.name, "dim"), Text(fact.value))
    return grid


def _ref(note: Note) -> tuple[str, str]:
    """The number of a note in its style; nothing where the notes are left out."""
    return (f" [{note.number}]" if note.number else "", "dim")


def _said(line: LineView | InspectionView | AbortView | ServiceView, style: str = "") -> Text:
    said = Text.assemble((line.text, style), _ref(line.note))
    for item in line.numbers:
        if not item.spread:
            said.append(*_ref(item.note))
    for item in line.numbers:
        if item.spread:
            said.append(f"\n{item.value}: others use {item.spread}", "dim").append(*_ref(item.note))
    return said


def _number(item: NumberView) -> Text:
    spread = f" (others use {item.spread})" if item.spread else ""
    return Text.assemble(f"{item.name} ", (item.value, "bold"), (spread, "dim"), _ref(item.note))


def _listed(rows: Iterable[tuple[RenderableType, RenderableType]]) -> Table:
    grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
    grid.add_column(no_wrap=True)
    grid.add_column(ratio=1, overflow="fold")
    for first, second in rows:
        grid.add_row(first, second)
    return grid


def _lines(lines: Sequence[LineView], tick: bool = False) -> Table:
    return _listed((Text("[ ]" if tick else "-"), _said(line)) for line in lines)


def _cautions(lines: Sequence[LineView]) -> list[RenderableType]:
    if not lines:
        return []
    rows = ((Text("-"), _said(line)) for line in lines)
    return [Panel(_listed(rows), title=Text("Caution"), title_align="left", box=box.HEAVY)]


def _inspections(view: PlanView) -> list[RenderableType]:
    parts: list[RenderableType] = [
        _title("Look first: before anybody cranks"),
        _paragraph(f"{view.hard_stops}. At a hard stop, do not go on until it is put right."),
    ]
    for place in view.inspections:
        parts.append(Padding(Text(place.place, "bold"), (1, 0, 0, 0)))
        parts.append(_listed((Text("[ ]"), _inspection(item)) for item in place.items))
    return parts


def _inspection(item: InspectionView) -> Text:
    stop = ("<HARD STOP> ", "bold reverse") if item.hard_stop else ""
    wrong = f"\nIf wrong: {item.if_wrong} (done by the {item.by})"
    return Text.assemble(stop, _said(item), (wrong, ""))


def _pressure(view: PressureView) -> list[RenderableType]:
    parts: list[RenderableType] = [_paragraph(view.said)]
    if view.rows:
        table = _table("rpm", *view.oils, "rule")
        for row in view.rows:
            cells = (_expected(cell) for cell in row.cells)
            table.add_row(Text(row.speed.replace(" rpm", "")), *cells, Text(row.rule, "dim"))
        parts.append(table)
    return [*parts, *(Text(text, "dim") for text in (view.rule, view.who) if text)]


def _expected(cell: ExpectedView) -> Text:
    return Text.assemble(
        (cell.middle, "bold"), f", {cell.low} to {cell.high}",
        (f"\nfloor {cell.floor}, top {cell.top}", "dim"),
    )  # fmt: skip


def _aborts(view: PlanView) -> RenderableType:
    rows = ((Text("X", "bold"), _abort(item)) for item in view.aborts)
    panel = Panel(
        _listed(rows), title=Text("SHUT OFF AT ONCE IF", "bold"), title_align="left",
        box=box.DOUBLE,
    )  # fmt: skip
    return Padding(panel, (1, 0, 0, 0))


def _abort(item: AbortView) -> Text:
    said = Text.assemble(_said(item, "bold"), f"\n{item.then}")
    return said.append("\n").append(_said(item.general, "dim")) if item.general else said


def _phase(phase: PhaseView) -> list[RenderableType]:
    reviewed = f"; review its log with --phase {phase.id}" if phase.reviewed else ""
    parts: list[RenderableType] = [
        _title(f"Phase {phase.number}: {phase.title}"),
        _paragraph(f"{phase.place}{reviewed}"),
    ]
    if phase.gates:
        parts += [Text("Go on only when", "bold"), _lines(phase.gates, tick=True)]
    if phase.ceilings:
        parts += [Text("Never over", "bold"), _bare_numbers(phase.ceilings)]
    if phase.film:
        parts.append(_said(phase.film, "dim"))
    parts += _cautions(phase.cautions)
    if phase.steps:
        parts.append(_steps(phase))
    if phase.evidence or phase.needs:
        parts.append(Text("What the log must show", "bold"))
        if phase.needs:
            parts.append(_paragraph(f"Not to be judged without: {', '.join(phase.needs)}."))
        parts.append(_bare_numbers(phase.evidence))
    if phase.then:
        parts += [Text("Then", "bold"), _lines(phase.then, tick=True)]
    return parts


def _steps(phase: PhaseView) -> Table:
    table = _table("Step", "What to do", "Numbers")
    table.columns[0].width = 4
    table.columns[1].ratio, table.columns[2].ratio = 3, 2
    for step in phase.steps:
        numbers = Group(*(_number(n) for n in step.numbers))
        table.add_row(
            Text(str(step.number), "bold"),
            Text.assemble((step.text, "bold"), _ref(step.note)),
            numbers,
        )
    return table


def _bare_numbers(items: Sequence[NumberView]) -> Table:
    return _listed((Text("-"), _number(item)) for item in items)


def _services(view: PlanView) -> Table:
    table = _table("Service", "Due, whichever comes first")
    table.columns[0].ratio = table.columns[1].ratio = 1
    for service in view.services:
        name = Text.assemble((service.title, "bold"), "\n", _said(service))
        table.add_row(name, Group(*(_number(n) for n in service.due)))
    return table


def _numbers(items: Sequence[NumberView]) -> Table:
    table = _table("Number", "Here", "Others use", "Why, and who says so")
    for column, ratio in zip(table.columns, (4, 3, 4, 9), strict=True):
        column.ratio = ratio
    for item in items:
        why = Text.assemble(f"{item.note.why} ", (item.note.who, "italic"))
        table.add_row(Text(item.name), Text(item.value, "bold"), Text(item.spread), why)
    return table


def _notes(notes: Sequence[Note]) -> Table:
    return _listed(
        (Text(f"[{n.number}]", "bold"), Text.assemble(f"{n.why} ", (n.who, "italic")))
        for n in notes
    )


def _findings(findings: Sequence[FindingView]) -> Table:
    table = _table("Answer", "What the log shows", "What to do next")
    table.columns[0].ratio, table.columns[0].min_width = 1, 11
    table.columns[1].ratio, table.columns[2].ratio = 4, 3
    for f in findings:
        answer = Group(_Mark(f.key), Text(f.answer, _TONES[f.key]))
        table.add_row(answer, _found(f), Text(f.do_next))
        table.add_section()
    return table


def _found(finding: FindingView) -> Text:
    said = Text.assemble((finding.title, "bold"))
    # A broken line decides the verdict, whether the phase asks for it or not.
    if not finding.required and finding.key != key(Answer.BROKEN):
        said.append(" (for information)", "dim")
    said.append(f"\n{finding.found}")
    for moment in finding.moments:
        if not moment.number:
            said.append(f"\nAt {moment.at}: {moment.said}")
    if finding.moments_left:
        said.append(f"\n{finding.moments_left}")
    if finding.who:
        said.append(f"\nLimit set by {finding.who}", "dim")
    return said


def _moments(view: VerdictView) -> Table:
    table = _table("No.", "Line", "When in the log", "How far", "How long")
    for m in view.moments:
        when = f"{m.at} ({m.clock})" if m.clock else m.at
        cells = (str(m.number), m.title, when, m.said, m.lasted)
        table.add_row(*(Text(cell) for cell in cells))
    return table


def _reading(view: VerdictView) -> list[RenderableType]:
    parts: list[RenderableType] = [_paragraph(f"{n.where}: {n.said}") for n in view.notes]
    if not parts:
        parts = [_paragraph("Nothing had to be repaired or assumed about the file as a whole.")]
    table = _table("In the file", "Taken for", "Unit", "How we know", "Rows")
    for c in view.columns:
        how = f"{c.how}: {c.why}" if c.why else c.how
        cells = (c.name, c.taken_for or "not used", c.unit, how, c.shown)
        table.add_row(*(Text(cell) for cell in cells))
    return [*parts, table]
