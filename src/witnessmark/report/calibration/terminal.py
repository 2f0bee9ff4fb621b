"""A calibration for a terminal of 80 columns."""

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration
from witnessmark.report.calibration.view import CalibrationView, calibration_view
from witnessmark.report.plan.view import Fact
from witnessmark.units import Preferences


def calibration_terminal(
    learned: Calibration, sheet: BuildSheet, prefer: Preferences | None = None
) -> RenderableType:
    """Facts, parameters, the miss on readings kept back; arguments as `calibration_view`."""
    view = calibration_view(learned, sheet, prefer)
    parts: list[RenderableType] = [
        heading(f"Calibration {view.serial}"),
        Text(view.engine),
        facts(view.facts),
        heading("What the log says of each part"),
        _table(view),
    ]
    if view.rules:
        parts += [heading("Readings it had not seen"), _rules(view), Text(view.held_out)]
    if view.notes:
        parts += [heading("Look out"), *(Text(note) for note in view.notes)]
    parts += [heading("What it does not tell"), *(Text(text) for text in view.limits)]
    return Group(*parts)


def heading(text: str) -> RenderableType:
    """A line over a section."""
    return Padding(Text(text.upper(), "bold underline"), (1, 0, 0, 0))


def facts(items: tuple[Fact, ...]) -> Table:
    """Names and values, two columns."""
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for fact in items:
        grid.add_row(Text(fact.name, "dim"), Text(fact.value))
    return grid


def _table(view: CalibrationView) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column(Text("Part"), overflow="fold")
    table.add_column(Text("Build"), justify="right")
    table.add_column(Text("Fitted"), justify="right")
    table.add_column(Text("5 to 95 %"), justify="right")
    table.add_column(Text("Who says so"), overflow="fold")
    for each in view.estimates:
        style = "bold" if each.by_log else ""
        table.add_row(
            Text(each.title), Text(each.build, "dim"), Text(each.fitted, style),
            Text(each.span), Text(each.told, "" if each.by_log else "dim"),
        )  # fmt: skip
    return table


def _rules(view: CalibrationView) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column(Text("Rule"))
    table.add_column(Text("misses by"), justify="right")
    for rule in view.rules:
        style = "bold" if rule.ours else ""
        table.add_row(Text(rule.name, style), Text(rule.miss, style))
    return table
