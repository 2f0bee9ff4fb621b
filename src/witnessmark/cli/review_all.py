"""witnessmark review-all: many drive logs against one phase of a plan."""

import json
import os
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from witnessmark.cli.exit_codes import BAD_INPUT, OF_ANSWER
from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import (
    Bus,
    CalibrationFile,
    Columns,
    PhaseOf,
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
from witnessmark.jobs.review_all import Batch, Order, logs_in, review_all
from witnessmark.model.finding import Answer
from witnessmark.report.review_all.data import batch_csv, batch_json
from witnessmark.report.review_all.terminal import batch_terminal

_GRAVEST_FIRST = (
    OF_ANSWER[Answer.BROKEN], BAD_INPUT, OF_ANSWER[Answer.NOT_SHOWN],
    OF_ANSWER[Answer.TOO_LITTLE],
)  # fmt: skip


def review_all_command(
    logs: Annotated[
        list[Path],
        typer.Argument(metavar="LOG|FOLDER...", help="Drive logs, or folders full of them."),
    ],
    phase: PhaseOf,
    build: SheetFile = None,
    plan: PlanFile = None,
    channel: Columns = None,
    dbc: Bus = None,
    recipe: Recipe = None,
    school: School = None,
    calibration: CalibrationFile = None,
    out: Annotated[
        list[Path] | None,
        typer.Option(
            "--out",
            "-o",
            metavar="FILE",
            help="Also write the table to FILE: .csv, .html or .json. May be given again.",
        ),
    ] = None,
    units: Units = None,
    jobs: Annotated[
        int | None, typer.Option(min=1, help="Processes to work in; one for each core if not said.")
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Judge many drive logs of one phase: a line for each, and what they add up to.

    A log that cannot be read is told of and stops no other. Ctrl-C leaves what is done. Exit
    code: the gravest of all: 3 broken, 2 a log could not be judged, 5 not shown, 4 too little.
    """
    with faults_shown():
        check_endings(out or (), (".csv", ".html", ".json"))
        limits = plan_of("review-all", build, plan, recipe, school, calibration)
        prefer = preferences(units, limits.prefer)
        order = Order(limits, phase, tuple(channel or ()), buses(dbc), tank_of(build, plan))
        chosen = logs_in(logs)
        with bar(quiet) as progress:
            progress.step(f"Judging {len(chosen)} logs")
            found = review_all(
                order, chosen, jobs or os.cpu_count() or 1,
                lambda done: progress.done(done / len(chosen)),
            )  # fmt: skip

            # Charts and pages take over a second to load: only a reader who asks for one waits.
            def html() -> str:
                from witnessmark.report.review_all.page import batch_html  # noqa: PLC0415

                return batch_html(found, prefer)

            makers: dict[str, Maker] = {
                ".csv": lambda: batch_csv(found),
                ".json": lambda: json.dumps(batch_json(found), indent=2) + "\n",
                ".html": html,
            }
            write_all(out or (), makers, progress.step)
        if not quiet:
            Console().print(batch_terminal(found, prefer))
    raise typer.Exit(gravest(found))


def gravest(found: Batch) -> int:
    """The exit code of the gravest line; a log that was not judged is no kept one."""
    codes = {OF_ANSWER[log.verdict.answer] if log.verdict else BAD_INPUT for log in found.logs}
    if found.left:
        codes.add(BAD_INPUT)
    return next((code for code in _GRAVEST_FIRST if code in codes), 0)
