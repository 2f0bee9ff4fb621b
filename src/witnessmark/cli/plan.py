"""witnessmark plan: the run-in plan for one build sheet."""

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import (
    CalibrationFile,
    Out,
    Quiet,
    Recipe,
    School,
    Units,
    known_by,
    preferences,
    recipe_named,
)
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.jobs.build import load_build
from witnessmark.jobs.frozen import freeze
from witnessmark.jobs.plan import make_plan
from witnessmark.report.plan.terminal import plan_terminal


def plan(
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="Build sheet (TOML).")],
    recipe: Recipe = None,
    school: School = None,
    calibration: CalibrationFile = None,
    out: Out = None,
    units: Units = None,
    why: Annotated[
        bool, typer.Option("--why", help="Print why every line stands there, and who says so.")
    ] = False,
    quiet: Quiet = False,
) -> None:
    """Make the run-in plan for exactly this engine.

    Write it with --out as a job card (.pdf), a page (.html), or the frozen plan (.json) that
    'review --plan' judges by.
    """
    with faults_shown():
        check_endings(out or (), (".pdf", ".html", ".json"))
        sheet = load_build(build)
        known = known_by(sheet, calibration)
        made = make_plan(sheet, recipe_named(recipe), school=school, known=known)
        prefer = preferences(units, made.prefer)
        frozen = freeze(made)
        sha256 = str(frozen["sha256"])

        # The PDF engine and templates take most of a second to load: only asked for, paid for.
        def html() -> str:
            from witnessmark.report.html import plan_html  # noqa: PLC0415

            return plan_html(made, prefer, sha256)

        def pdf() -> bytes:
            from witnessmark.report.pdf import plan_pdf  # noqa: PLC0415

            return plan_pdf(made, prefer, sha256, dated=sheet.identity.signed_on)

        makers: dict[str, Maker] = {
            ".html": html,
            ".pdf": pdf,
            ".json": lambda: json.dumps(frozen, indent=2) + "\n",
        }
        with bar(quiet) as progress:
            write_all(out or (), makers, progress.step)
        if not quiet:
            Console().print(plan_terminal(made, prefer, sha256, reasons=why))
            if not why:
                typer.echo("\nWhy each line stands there, and who says so: add --why.")
