"""An engine's drives for a terminal of 80 columns."""

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from witnessmark.jobs.engine import EngineKept
from witnessmark.report.engine.view import DriveLine, engine_view
from witnessmark.units import Preferences


def engine_terminal(found: EngineKept, prefer: Preferences | None = None) -> RenderableType:
    """Sums first, then drive by drive."""
    view = engine_view(found, prefer)
    sums = Table.grid(padding=(0, 2))
    for tile in view.tiles:
        sums.add_row(Text(tile.name), Text(tile.value, "bold"))
    return Group(
        Text(f"Engine {view.serial}", "bold"), Text(view.engine), Text(""), sums, Text(""),
        *(Text(said) for said in view.said), Text(""), _drives(view.drives),
    )  # fmt: skip


def _drives(lines: tuple[DriveLine, ...]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0))
    for head in ("Drive", "Phase, verdict", "Run", "Turns", "Driven"):
        table.add_column(head, overflow="fold")
    for line in lines:
        drive = Text(f"{line.when}\n{line.name}")
        if line.about:
            drive.append(f"\n{line.about}", "italic")
        table.add_row(drive, Text(f"{line.phase}\n{line.answer}"), Text(line.ran),
                      Text(line.turned), Text(line.distance))  # fmt: skip
    return table
