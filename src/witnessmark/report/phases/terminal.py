"""A first heat for a terminal of 80 columns."""

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from witnessmark.jobs.first_heat import FirstHeat
from witnessmark.model.finding import Answer
from witnessmark.report.phases.view import MomentFound, PhasesView, StepView, phases_view
from witnessmark.report.terminal import heading, paragraph, ruled
from witnessmark.report.words import key
from witnessmark.units import Preferences

_TONES = {
    key(Answer.KEPT): "green",
    key(Answer.BROKEN): "red",
    key(Answer.TOO_LITTLE): "yellow",
    key(Answer.NOT_SHOWN): "dim",
}


def phases_terminal(found: FirstHeat, prefer: Preferences | None = None) -> RenderableType:
    """Steps beside the plan, stops, what was found when, and the lines that matter."""
    view = phases_view(found, prefer)
    parts: list[RenderableType] = [
        heading(f"First heat {view.serial}"), Text(view.headline, f"bold {_TONES[view.key]}"),
        heading("Planned and done"), _steps(view.steps),
    ]  # fmt: skip
    parts += [paragraph(text) for text in view.remarks]
    if view.stops:
        parts += [heading("Interruptions (time is paused, not lost)"), _moments(view.stops)]
    parts += [heading("Found in the recording"), _moments(view.moments)]
    return Group(*parts, heading("Line by line"), _lines(view), _left_out(view))


def _steps(steps: Sequence[StepView]) -> Table:
    table = ruled("No.", "Step", "Answer", "What the recording shows")
    phase = ""
    for step in steps:
        if step.phase != phase:
            phase = step.phase
            table.add_row("", Text(phase, "bold"), "", "")
        said = Text(step.found)
        if step.at:
            said.append(f" From {step.at}.", "dim")
        if step.do_next:
            said.append(f"\n→ {step.do_next}", "bold")
        done = Text(step.done, f"bold {_TONES[step.key]}")
        table.add_row(str(step.number), Text(step.name), done, said)
    return table


def _moments(moments: Sequence[MomentFound]) -> Table:
    table = ruled("At", "What", "How long", "")
    for moment in moments:
        table.add_row(moment.at, Text(moment.what), moment.lasted, Text(moment.said, "dim"))
    return table


def _lines(view: PhasesView) -> Table:
    """Lines of the verdict, without those that are neither required nor shown."""
    table = ruled("Answer", "Line", "What the log shows")
    for line in view.verdict.findings:
        if line.required or line.key != key(Answer.NOT_SHOWN):
            said = Text(line.found)
            if line.do_next and line.key != key(Answer.KEPT):
                said.append(f"\n→ {line.do_next}", "bold")
            if line.who:
                said.append(f"\nLimit set by {line.who}", "dim")
            table.add_row(Text(line.answer, f"bold {_TONES[line.key]}"), Text(line.title), said)
    return table


def _left_out(view: PhasesView) -> Text:
    left = [f.title for f in view.verdict.missing if not f.required]
    return Text(f"Not shown and not required: {', '.join(left)}." if left else "", "dim")
