"""The pressure band for a terminal of 80 columns."""

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from witnessmark.jobs.band import EngineBand
from witnessmark.report.band.view import BandView, Cell, band_view
from witnessmark.units import Preferences


def band_terminal(made: EngineBand, prefer: Preferences | None = None) -> RenderableType:
    """Table, what the spread comes from, what was assumed; arguments as `band_view`."""
    view = band_view(made, prefer)
    parts: list[RenderableType] = [
        _title(f"Pressure band {view.serial}"),
        Text(view.engine),
        _facts(view),
        _title(f"Gauge pressure in {view.unit}, by engine speed and oil temperature"),
        Text("In each field: 5, 50 and 95 of 100 such builds stay under it."),
        _table(view),
        Text(view.rule),
        _title("Why the band is as wide as it is"),
        *(Text(f"{part.share:>5}  {part.name}: {part.made_of}") for part in view.parts),
    ]
    if view.assumptions:
        parts.append(_title("Not on the build sheet, so assumed"))
        parts.extend(Text(f"{a.text} ({a.path}) {a.why}") for a in view.assumptions)
    parts.append(_title("What it does not tell"))
    parts.extend(Text(text) for text in view.limits)
    return Group(*parts)


def _title(text: str) -> RenderableType:
    return Padding(Text(text.upper(), "bold underline"), (1, 0, 0, 0))


def _facts(view: BandView) -> Table:
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for fact in view.facts:
        grid.add_row(Text(fact.name, "dim"), Text(fact.value))
    return grid


def _table(view: BandView) -> Table:
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column(Text("rpm"), no_wrap=True)
    for oil in view.oils:
        table.add_column(Text(oil), justify="right", no_wrap=True)
    table.add_column(Text("rule"), justify="right", no_wrap=True, style="dim")
    for row in view.rows:
        speed = row.speed.replace(" rpm", "").replace(", idle", " idle")  # 80 columns are few
        table.add_row(Text(speed), *(_cell(cell) for cell in row.cells), Text(row.rule))
    return table


def _cell(cell: Cell) -> Text:
    return Text.assemble(f"{cell.low} ", (cell.middle, "bold"), f" {cell.high}")
