"""A plan for a terminal of 80 columns. Light to import: no charts, no typesetting."""

from collections.abc import Sequence

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from witnessmark.model.plan import RunPlan
from witnessmark.report.plan.answers_terminal import answer_panels
from witnessmark.report.plan.pressure import ExpectedView, PressureView
from witnessmark.report.plan.view import (
    AbortView,
    InspectionView,
    LineView,
    Note,
    NumberView,
    PhaseView,
    PlanView,
    ServiceView,
    plan_view,
)  # fmt: skip
from witnessmark.report.terminal import facts, heading, listed_rows, paragraph, ruled
from witnessmark.units import Preferences


def plan_terminal(
    plan: RunPlan, prefer: Preferences | None = None, sha256: str = "", reasons: bool = True
) -> RenderableType:
    """The plan for a terminal; arguments as `report.html.plan_html`.

    `reasons` : whether every line's why and who stand at the end, and the judging numbers.
    """
    view = plan_view(plan, prefer, sha256, numbered=reasons)
    parts: list[RenderableType] = [
        heading(f"Run-in plan {view.serial}"),
        *answer_panels(view.answers),
        facts(view.facts),
        paragraph(view.chosen_why),
        paragraph(f"School: {view.school}. {view.school_why}"),
    ]
    parts += [heading("Other recipes, and why not")] if view.set_aside else []
    parts.extend(paragraph(text) for text in view.set_aside)
    if view.assumptions:
        parts.append(heading("Not on the build sheet, so assumed"))
        parts.extend(paragraph(f"{a.text} ({a.path}) {a.why}") for a in view.assumptions)
    parts += [heading("Fuel and oil"), _lines((*view.fuel, *view.oil))]
    parts += _inspections(view)
    parts += [heading("Prime"), *_cautions(view.cautions), _lines(view.prime, tick=True)]
    parts += [heading("Oil pressure to expect"), *_pressure(view.pressure)]
    parts.append(_aborts(view))
    for phase in view.phases:
        parts += _phase(phase)
    parts += [heading("Oil and filter"), _services(view)]
    if reasons:
        parts += [heading("Numbers a log is judged by"), _numbers(view.limits)]
        parts += [heading("Why, and who says so"), _notes(view.notes)]
    return Group(*parts)


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


def _lines(lines: Sequence[LineView], tick: bool = False) -> Table:
    return listed_rows((Text("[ ]" if tick else "-"), _said(line)) for line in lines)


def _cautions(lines: Sequence[LineView]) -> list[RenderableType]:
    if not lines:
        return []
    rows = ((Text("-"), _said(line)) for line in lines)
    return [Panel(listed_rows(rows), title=Text("Caution"), title_align="left", box=box.HEAVY)]


def _inspections(view: PlanView) -> list[RenderableType]:
    parts: list[RenderableType] = [
        heading("Look first: before anybody cranks"),
        paragraph(f"{view.hard_stops}. At a hard stop, do not go on until it is put right."),
    ]
    for place in view.inspections:
        parts.append(Padding(Text(place.place, "bold"), (1, 0, 0, 0)))
        parts.append(listed_rows((Text("[ ]"), _inspection(item)) for item in place.items))
    return parts


def _inspection(item: InspectionView) -> Text:
    stop = ("<HARD STOP> ", "bold reverse") if item.hard_stop else ""
    wrong = f"\nIf wrong: {item.if_wrong} (done by the {item.by})"
    return Text.assemble(stop, _said(item), (wrong, ""))


def _pressure(view: PressureView) -> list[RenderableType]:
    parts: list[RenderableType] = [paragraph(view.said)]
    if view.rows:
        table = ruled("rpm", *view.oils, "rule")
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
        listed_rows(rows), title=Text("SHUT OFF AT ONCE IF", "bold"), title_align="left",
        box=box.DOUBLE,
    )  # fmt: skip
    return Padding(panel, (1, 0, 0, 0))


def _abort(item: AbortView) -> Text:
    said = Text.assemble(_said(item, "bold"), f"\n{item.then}")
    return said.append("\n").append(_said(item.general, "dim")) if item.general else said


def _phase(phase: PhaseView) -> list[RenderableType]:
    reviewed = f"; review its log with --phase {phase.id}" if phase.reviewed else ""
    parts: list[RenderableType] = [
        heading(f"Phase {phase.number}: {phase.title}"),
        paragraph(f"{phase.place}{reviewed}"),
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
            parts.append(paragraph(f"Not to be judged without: {', '.join(phase.needs)}."))
        parts.append(_bare_numbers(phase.evidence))
    if phase.then:
        parts += [Text("Then", "bold"), _lines(phase.then, tick=True)]
    return parts


def _steps(phase: PhaseView) -> Table:
    table = ruled("Step", "What to do", "Numbers")
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
    return listed_rows((Text("-"), _number(item)) for item in items)


def _services(view: PlanView) -> Table:
    table = ruled("Service", "Due, whichever comes first")
    table.columns[0].ratio = table.columns[1].ratio = 1
    for service in view.services:
        name = Text.assemble((service.title, "bold"), "\n", _said(service))
        table.add_row(name, Group(*(_number(n) for n in service.due)))
    return table


def _numbers(items: Sequence[NumberView]) -> Table:
    table = ruled("Number", "Here", "Others use", "Why, and who says so")
    for column, ratio in zip(table.columns, (4, 3, 4, 9), strict=True):
        column.ratio = ratio
    for item in items:
        why = Text.assemble(f"{item.note.why} ", (item.note.who, "italic"))
        table.add_row(Text(item.name), Text(item.value, "bold"), Text(item.spread), why)
    return table


def _notes(notes: Sequence[Note]) -> Table:
    return listed_rows(
        (Text(f"[{n.number}]", "bold"), Text.assemble(f"{n.why} ", (n.who, "italic")))
        for n in notes
    )
