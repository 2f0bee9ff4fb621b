"""Drift for a terminal of 80 columns."""

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from witnessmark.model.build import BuildSheet
from witnessmark.model.drift import Drift
from witnessmark.report.calibration.terminal import facts, heading
from witnessmark.report.drift.view import LogDriftView, drift_view
from witnessmark.units import Preferences


def drift_terminal(
    found: Drift, sheet: BuildSheet, prefer: Preferences | None = None
) -> RenderableType:
    """Log after log, part after part; arguments as `drift_view`."""
    view = drift_view(found, sheet, prefer)
    parts: list[RenderableType] = [
        heading(f"Drift {view.serial}"), Text(view.engine), facts(view.facts)
    ]  # fmt: skip
    for log in view.logs:
        parts += [
            heading(log.name), Text(log.headline, "bold"), Text(log.facts, "dim"), _table(log)
        ]  # fmt: skip
        parts += [Text(note) for note in log.notes]
    parts += [heading("What it does not tell"), *(Text(text) for text in view.limits)]
    return Group(*parts)


def _table(log: LogDriftView) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column(Text("Part"), overflow="fold")
    table.add_column(Text("Answer"), no_wrap=True)
    table.add_column(Text("Change"), justify="right", no_wrap=True)
    table.add_column(Text("5 to 95 %"), justify="right")
    table.add_column(Text("Why"), overflow="fold")
    for each in log.changes:
        table.add_row(
            Text(each.title), Text(each.moved, "bold"), Text(each.change), Text(each.span),
            Text(each.why, "dim"),
        )  # fmt: skip
    return table
