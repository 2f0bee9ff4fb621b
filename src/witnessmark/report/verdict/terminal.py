"""A verdict for a terminal of 80 columns. Light to import: no charts, no typesetting."""

from collections.abc import Sequence

from rich import box
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from witnessmark.jobs.review import Review
from witnessmark.model.finding import Answer
from witnessmark.report.terminal import facts, heading, paragraph, ruled
from witnessmark.report.verdict.gears_view import GearsView
from witnessmark.report.verdict.pressure_view import PressureCellView, PressureMapView
from witnessmark.report.verdict.signals_view import SignalsView
from witnessmark.report.verdict.view import (
    FindingView,
    TableView,
    VerdictView,
    verdict_view,
)
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
        heading("Line by line"),
        _findings(view.findings),
    ]  # fmt: skip
    if view.moments:
        parts += [heading("Worst moments"), _moments(view)]
    tabled = [f for f in view.findings if f.table is not None]
    if tabled:
        parts.append(heading("Figures behind the lines"))
        parts.extend(_figures(f.title, f.table) for f in tabled if f.table is not None)
    if view.pressure:
        parts += [heading("Oil pressure by speed and oil temperature"), *_pressures(view.pressure)]
    if view.gears:
        parts += [heading("Gears driven"), *_gears(view.gears)]
    parts += _signals(view.signals)
    parts.append(heading("What this log does not show"))
    if view.missing:
        parts += _missing(view.missing)
    else:
        parts.append(paragraph("Every line of this phase had something to be judged by."))
    parts += [heading("How the file was read"), *_reading(view)]
    parts += [heading("What this verdict rests on"), facts(view.facts)]
    parts.append(paragraph(view.school_why))
    return Group(*parts)


def _signals(view: SignalsView) -> list[RenderableType]:
    if not view.summary:
        return []
    parts: list[RenderableType] = [heading("What this log can tell")]
    if view.questions:
        table = ruled("Answered", "Question", "Why")
        table.columns[0].min_width, table.columns[1].ratio, table.columns[2].ratio = 8, 2, 3
        for q in view.questions:
            table.add_row(Text(q.answer, _TONES[q.key]), Text(q.asks), Text(q.said))
        parts.append(table)
    parts += [paragraph(text) for text in (view.answered, view.lacks) if text]
    parts += [heading("The sensors"), paragraph(view.summary)]
    if view.sensors:
        table = ruled("Channel", "What to know of it")
        table.columns[0].ratio, table.columns[1].ratio = 1, 2
        for s in view.sensors:
            table.add_row(Text(s.title, _TONES[s.key] if s.key else ""), Text(s.said))
        parts.append(table)
    return [*parts, *(Text(text, "dim") for text in view.paces)]


def _missing(lines: Sequence[FindingView]) -> list[RenderableType]:
    """What is wanted, a paragraph each; what a log may have besides, a line each."""
    needed = [paragraph(f"{f.title} (required): {_fit(f)}") for f in lines if f.required]
    spare = [Text(f"{f.title}: {_fit(f)}", "dim") for f in lines if not f.required]
    if spare:
        spare.insert(0, Text("This phase does not require these; with them a log says more:"))
    return [*needed, *spare]


def _fit(line: FindingView) -> str:
    return line.do_next or line.found


def _figures(title: str, figures: TableView) -> RenderableType:
    table = ruled(*figures.heads)
    for row in figures.rows:
        table.add_row(*(Text(cell) for cell in row))
    return Group(Text(title, "bold"), table)


def _findings(findings: Sequence[FindingView]) -> Table:
    table = ruled("Answer", "What the log shows", "What to do next")
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
            went = "; ".join(filter(None, (moment.passed, moment.into)))
            said.append(f" ({went})" if went else "", "dim")
    if finding.moments_left:
        said.append(f"\n{finding.moments_left}")
    if finding.who:
        said.append(f"\nLimit set by {finding.who}", "dim")
    return said


def _moments(view: VerdictView) -> Table:
    table = ruled("No.", "Line", "When in the log", "How far over", "How long", "Passed in it")
    for m in view.moments:
        when = "\n".join(filter(None, (f"{m.at} ({m.clock})" if m.clock else m.at, m.into)))
        cells = (str(m.number), m.title, when, m.said, m.lasted, m.passed)
        table.add_row(*(Text(cell) for cell in cells))
    return table


def _pressures(view: PressureMapView) -> list[RenderableType]:
    table = ruled(f"rpm, {view.unit}", *(head.removeprefix("oil ") for head in view.heads))
    for row in view.rows:
        table.add_row(Text(row.speed.removesuffix(" rpm")), *(_pressure(c) for c in row.cells))
    about = " ".join(filter(None, (view.basis, view.missing)))
    return [*(paragraph(text) for text in view.worst), table, Text(about, "dim")]


def _pressure(cell: PressureCellView) -> Text:
    lines = Text(cell.median, "bold")
    if cell.range:
        lines.append(f"\n{cell.range}", "not bold")
    if cell.line:
        lines.append(f"\n{cell.line}", "not bold dim")
    return lines.append(f"\n{cell.beyond}", "bold red") if cell.beyond else lines


def _gears(view: GearsView) -> list[RenderableType]:
    parts: list[RenderableType] = [paragraph(view.said)]
    if view.gears:
        table = ruled("Gear", "Engine speed", "Time", "Distance")
        for gear in view.gears:
            cells = (gear.name, gear.turns, gear.time, gear.distance)
            table.add_row(*(Text(cell) for cell in cells))
        parts.append(table)
    return parts


def _reading(view: VerdictView) -> list[RenderableType]:
    parts: list[RenderableType] = [paragraph(f"{n.where}: {n.said}") for n in view.notes]
    if not parts:
        parts = [paragraph("Nothing had to be repaired or assumed about the file as a whole.")]
    table = ruled("In the file", "Taken for", "Unit", "How we know", "Rows")
    for c in view.columns:
        how = f"{c.how}: {c.why}" if c.why else c.how
        cells = (c.name, c.taken_for or "not used", c.unit, how, c.shown)
        table.add_row(*(Text(cell) for cell in cells))
    return [*parts, table]
