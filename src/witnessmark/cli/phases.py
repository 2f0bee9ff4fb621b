"""witnessmark phases: find the first heat in a whole recording and hold it against the plan."""

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from witnessmark.cli.exit_codes import OF_ANSWER
from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import (
    Bus,
    CalibrationFile,
    Columns,
    Out,
    PlanFile,
    Quiet,
    Recipe,
    School,
    SheetFile,
    Units,
    buses,
    preferences,
)
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.cli.review import plan_of, tank_of
from witnessmark.jobs.first_heat import CHANNELS, first_heat
from witnessmark.logs.read import read_log
from witnessmark.report.phases.data import phases_json
from witnessmark.report.phases.terminal import phases_terminal


def phases(
    log: Annotated[
        Path, typer.Argument(metavar="LOG", help="The recording, from key-on to the last stop.")
    ],
    build: SheetFile = None,
    plan: PlanFile = None,
    channel: Columns = None,
    dbc: Bus = None,
    recipe: Recipe = None,
    school: School = None,
    calibration: CalibrationFile = None,
    out: Out = None,
    units: Units = None,
    quiet: Quiet = False,
) -> None:
    """Find prime, first fire, holds and sweeps in the LOG of a first heat; judge them by the plan.

    A stop is allowed: time is paused, not lost. Exit codes as of review, by the lines the first
    heat requires. 0: kept. 3: a limit was broken. 4: too little was shown. 5: a channel it needs
    is not in the log. 2: something in the input has to be put right first.
    """
    with faults_shown():
        check_endings(out or (), (".html", ".json"))
        with bar(quiet) as progress:
            terms = plan_of("phases", build, plan, recipe, school, calibration)
            prefer = preferences(units, terms.prefer)
            progress.step(f"Reading {log.name}")
            read = read_log(
                log, channel or (), progress.done, CHANNELS, buses(dbc), tank_of(build, plan)
            )
            progress.step("Finding the phases")
            found = first_heat(terms, read)

            # The chart takes most of a second to load: only a reader who asks for it waits.
            def html() -> str:
                from witnessmark.report.html import phases_html  # noqa: PLC0415

                return phases_html(found, prefer)

            makers: dict[str, Maker] = {
                ".html": html,
                ".json": lambda: json.dumps(phases_json(found, prefer), indent=2) + "\n",
            }
            write_all(out or (), makers, progress.step)
        if not quiet:
            Console().print(phases_terminal(found, prefer))
    raise typer.Exit(OF_ANSWER[found.review.verdict.answer])
