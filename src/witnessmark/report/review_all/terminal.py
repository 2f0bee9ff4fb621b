"""Many logs' verdicts for a terminal of 80 columns."""

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from witnessmark.jobs.review_all import Batch
from witnessmark.report.review_all.view import BatchView, LogLine, batch_view
from witnessmark.units import Preferences


def batch_terminal(found: Batch, prefer: Preferences) -> RenderableType:
    """The count of each answer, a line a log, and the sums."""
    view = batch_view(found, prefer)
    sums = Table.grid(padding=(0, 2))
    for tile in view.tiles:
        sums.add_row(Text(tile.name), Text(tile.value, "bold"))
    return Group(
        Text(f"Engine {view.serial}, phase {view.phase}", "bold"), Text(view.headline), Text(""),
        _lines(view), sums, *(Text(said) for said in view.said),
    )  # fmt: skip


def _lines(view: BatchView) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0))
    for head in ("Log", "Verdict", "Run", "Turns", "Driven"):
        table.add_column(head, overflow="fold")
    for line in view.lines:
        table.add_row(
            _named(line), Text(line.headline if line.key else f"{line.answer}: {line.headline}"),
            Text(line.ran),
            Text(line.turned), Text(line.distance),
        )  # fmt: skip
    return table


def _named(line: LogLine) -> Text:
    text = Text(line.name)
    if line.key:
        text.append(f"\n{line.started}")
    if line.about:
        text.append(f"\n{line.about}", "italic")
    return text
