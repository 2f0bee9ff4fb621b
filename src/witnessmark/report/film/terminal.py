"""A map of films for a terminal of 80 columns."""

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from witnessmark.jobs.film import EngineFilm
from witnessmark.report.film.view import SIGNS, FilmCell, FilmTable, film_view
from witnessmark.units import Preferences

_STYLES = {"full": "", "mixed": "", "touching": "bold", "": "dim"}


def film_terminal(made: EngineFilm, prefer: Preferences | None = None) -> RenderableType:
    """Worst point, answers, tables, limits; arguments as `film_view`."""
    view = film_view(made, prefer)
    parts: list[RenderableType] = [
        _title(f"Oil film {view.serial}"),
        Text(view.engine),
        _title("Thinnest of all"),
        Text(view.worst, "bold"),
        *(Text(f"{fact.name:>5}  of that spread: {fact.value}") for fact in view.causes[:3]),
        _title("What it means"),
        *(Text.assemble((f"{one.question}. ", "bold"), one.answer) for one in view.answers),
        _title("Speed and load"),
        Text(view.table.caption),
        _table(view.table),
        _title("Lugging, and the ceilings of the plan"),
        Text(view.marks.caption),
        _table(view.marks),
        Text(view.key),
    ]
    if view.assumptions:
        parts.append(_title("Not on the build sheet, so assumed"))
        parts.extend(Text(f"{a.text} ({a.path}) {a.why}") for a in view.assumptions)
    parts.append(_title("What it does not tell"))
    parts.extend(Text(text) for text in view.limits)
    return Group(*parts)


def _title(text: str) -> RenderableType:
    return Padding(Text(text.upper(), "bold underline"), (1, 0, 0, 0))


def _table(shown: FilmTable) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column(Text(shown.first), no_wrap=not any(row.about for row in shown.rows))
    for head in shown.heads:
        table.add_column(Text(head), justify="right")
    for row in shown.rows:
        name = f"{row.name}, {row.about}" if row.about else row.name
        table.add_row(Text(name), *(_cell(cell) for cell in row.cells))
    return table


def _cell(cell: FilmCell) -> Text:
    sign = f"{SIGNS[cell.key] or ' '}" if cell.key else ""
    return Text(f"{cell.film}{sign}", _STYLES[cell.key])
