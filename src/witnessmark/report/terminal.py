"""What every report in a terminal of 80 columns shares. Light to import: no charts."""

from collections.abc import Iterable

from rich import box
from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from witnessmark.report.plan.view import Fact


def heading(text: str) -> RenderableType:
    """A title over a part."""
    return Padding(Text(text.upper(), "bold underline"), (1, 0, 0, 0))


def paragraph(text: str) -> RenderableType:
    """A stretch of text."""
    return Text(text)


def ruled(*heads: str) -> Table:
    """A table over the whole width with these heads."""
    table = Table(box=box.SIMPLE_HEAD, expand=True, pad_edge=False, padding=(0, 1, 0, 0))
    for head in heads:
        table.add_column(Text(head), overflow="fold")
    return table


def facts(facts: Iterable[Fact]) -> Table:
    """Names and values side by side."""
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for fact in facts:
        grid.add_row(Text(fact.name, "dim"), Text(fact.value))
    return grid


def listed_rows(rows: Iterable[tuple[RenderableType, RenderableType]]) -> Table:
    """A mark or a box, and what stands beside it, row by row."""
    grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
    grid.add_column(no_wrap=True)
    grid.add_column(ratio=1, overflow="fold")
    for first, second in rows:
        grid.add_row(first, second)
    return grid
