"""witnessmark build: check a build sheet, print its schema."""

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import Recipe, recipe_named
from witnessmark.jobs.build import build_schema, load_build
from witnessmark.jobs.plan import make_plan

app = typer.Typer(help="Build sheets: what was built, measured, and by whom.", no_args_is_help=True)


@app.command()
def check(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Build sheet (TOML).")],
    recipe: Recipe = None,
) -> None:
    """Check a build sheet: every fault and contradiction at once, then what was assumed.

    Exit code 0: usable. 2: something has to be put right first.
    """
    with faults_shown():
        sheet = load_build(file)
        made = make_plan(sheet, recipe_named(recipe))
    out = Console(soft_wrap=True)
    out.print(Text(f"{file.name}: {sheet.describe()}. Usable; recipe {made.choice.recipe}."))
    if made.assumptions:
        out.print(Text("Not on the sheet, so assumed:"))
    for assumed in made.assumptions:
        out.print(Text(f"  {assumed.path}: {assumed.said.read(made.prefer)} ({assumed.why})"))


@app.command()
def schema() -> None:
    """Print the JSON Schema of a build sheet, for editors that check while you type."""
    typer.echo(json.dumps(build_schema(), indent=2))
