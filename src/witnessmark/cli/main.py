"""The witnessmark command: thin skins over the jobs."""

import typer

from witnessmark.cli.band import band
from witnessmark.cli.build import app as build_app
from witnessmark.cli.calibrate import calibrate
from witnessmark.cli.drift import drift
from witnessmark.cli.film import film
from witnessmark.cli.plan import plan
from witnessmark.cli.recipe import app as recipe_app
from witnessmark.cli.review import review
from witnessmark.cli.serve import serve

app = typer.Typer(
    name="witnessmark",
    help="From a freshly built engine to a run-in plan and a verdict on its drive logs.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.add_typer(build_app, name="build")
app.command()(plan)
app.command()(review)
app.command()(band)
app.command()(film)
app.command()(calibrate)
app.command()(drift)
app.add_typer(recipe_app, name="recipe")
app.command()(serve)
