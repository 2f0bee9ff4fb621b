"""witnessmark recipe: the book of run-in recipes, and a shop's own."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from witnessmark.cli.faults import faults_shown
from witnessmark.errors import UserErrors
from witnessmark.jobs.book import check_recipe, copy_recipe, load_recipe, open_book

app = typer.Typer(help="Run-in recipes: list, show, copy, check.", no_args_is_help=True)

Id = Annotated[str, typer.Argument(metavar="ID", help="Id of a recipe in the book.")]


@app.command("list")
def list_() -> None:
    """List the recipes of the book, with school and owner."""
    table = Table(box=None, pad_edge=False)
    table.add_column("Recipe", no_wrap=True)
    for head in ("Title", "School", "Owner"):
        table.add_column(head)
    table.add_column("Hash", no_wrap=True)
    with faults_shown():
        for recipe in open_book().recipes:
            file = recipe.file
            table.add_row(file.id, file.title, file.school, file.owner, recipe.sha256[:12])
    Console().print(table)


@app.command()
def show(name: Id) -> None:
    """Print a recipe as it stands in its file, with every number's range, source and reason."""
    with faults_shown():
        typer.echo(open_book().find(name).text)


@app.command()
def copy(
    name: Id,
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the copy goes.")],
    new_id: Annotated[str, typer.Option("--id", help="Id of your recipe: lower case, dashes.")],
    owner: Annotated[str, typer.Option(help="Who answers for its numbers: your shop.")],
) -> None:
    """Copy a recipe to a file of your own, to edit and pass as --recipe FILE."""
    with faults_shown():
        path = copy_recipe(name, folder, new_id, owner)
    typer.echo(f"{path}: edit it, then: witnessmark plan BUILD.toml --recipe {path}")


@app.command()
def check(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Your recipe file (TOML).")],
) -> None:
    """Check a recipe file: every fault at once.

    Exit code 0: usable. 2: something has to be put right first.
    """
    with faults_shown():
        faults = check_recipe(file)
        if faults:
            raise UserErrors(faults)
        recipe = load_recipe(file)
    Console(soft_wrap=True).print(
        Text(f"{file.name}: usable as '{recipe.file.id}', hash {recipe.sha256[:12]}.")
    )
