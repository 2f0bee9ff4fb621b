"""witnessmark drift: what changed in an engine's oil system from log to log."""

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from witnessmark.cli.exit_codes import OF_DRIFT
from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import Bus, Quiet, Units, preferences
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.cli.reading import Channel, read_logs
from witnessmark.errors import UserError
from witnessmark.jobs.build import load_build
from witnessmark.model.build import BuildSheet
from witnessmark.model.drift import Drift, OilSaid, worst
from witnessmark.report.drift.data import drift_json
from witnessmark.report.drift.terminal import drift_terminal
from witnessmark.units import Kind, Preferences, parse

_ENDINGS = (".json", ".html", ".svg")


def drift(
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="Build sheet (TOML).")],
    logs: Annotated[
        list[Path],
        typer.Argument(metavar="LOG...", help="Logs of this engine, oldest first."),
    ],
    calibration: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Calibration (.json) to hold the logs against, in place of the first log. Give "
            "its own log too if you have it.",
        ),
    ] = None,
    new_oil: Annotated[
        list[str] | None,
        typer.Option(
            metavar="LOG[=GRADE]",
            help="From this log on a fresh fill of the same oil, or of another grade: "
            "'LOG=10W-40'. May be given again.",
        ),
    ] = None,
    fuel: Annotated[
        list[str] | None,
        typer.Option(
            metavar="LOG=SHARE",
            help="Fuel found in the oil of this log: 'LOG=3%'. May be given again.",
        ),
    ] = None,
    channel: Channel = None,
    dbc: Bus = None,
    out: Annotated[
        list[Path] | None,
        typer.Option(
            "--out", "-o", metavar="FILE",
            help="Also write FILE; its ending says what: .json, .html or .svg. May be given again.",
        ),
    ] = None,
    units: Units = None,
    quiet: Quiet = False,
) -> None:  # fmt: skip
    """Hold each later LOG against the first one, or against a calibration.

    For bearing leakage, relief opening pressure and relief gradient each: changed, not changed,
    or cannot tell. 'changed' is said of one sound log in 1,000. Fresh oil, another grade and fuel
    in the oil are known causes: say so, and they are taken into account.

    Exit code 0: nothing changed. 3: something changed. 5: cannot tell. 2: something in the input
    has to be put right first.
    """
    with faults_shown():
        check_endings(out or (), _ENDINGS)
        oils = _oils(new_oil or (), fuel or ())
        with bar(quiet) as progress:
            sheet = load_build(build)
            prefer = preferences(units, sheet.prefer)
            # The sampler behind a calibration takes half a second to load: only now it is needed.
            from witnessmark.jobs.calibrate import load_calibration  # noqa: PLC0415
            from witnessmark.jobs.drift import watch  # noqa: PLC0415

            learned = load_calibration(calibration) if calibration else None
            read = read_logs(logs, channel or (), progress, dbc)
            progress.step("Comparing")
            found = watch(sheet, read, learned, oils, progress.done)
            write_all(out or (), _makers(sheet, found, prefer), progress.step)
        if not quiet:
            Console().print(drift_terminal(found, sheet, prefer))
    raise typer.Exit(OF_DRIFT[worst(found)])


def _oils(new: Sequence[str], fuel: Sequence[str]) -> dict[str, OilSaid]:
    """What --new-oil and --fuel say, by the log's file name. Raises UserError."""
    said: dict[str, OilSaid] = {}
    for text in new:
        log, _, grade = text.partition("=")
        name = Path(log).name
        said[name] = replace(said.get(name, OilSaid()), new=True, grade=grade.strip())
    for text in fuel:
        log, found, share = text.rpartition("=")
        if not found:
            raise UserError(
                "--fuel", f"'{text}' names no log", "a log and a share are wanted",
                "Write it as --fuel LOG=3%",
            )  # fmt: skip
        name = Path(log).name
        amount = parse(share, Kind.FRACTION, "--fuel").value
        said[name] = replace(said.get(name, OilSaid()), fuel=amount)
    return said


def _makers(sheet: BuildSheet, found: Drift, prefer: Preferences) -> dict[str, Maker]:
    # Charts take most of a second to load: only a reader who asks for them waits.
    def html() -> str:
        from witnessmark.report.html import drift_html  # noqa: PLC0415

        return drift_html(found, sheet, prefer)

    def chart() -> str:
        from witnessmark.report.drift.chart import drift_chart  # noqa: PLC0415

        return drift_chart(found, sheet, narrow=False).wide

    return {
        ".html": html,
        ".svg": chart,
        ".json": lambda: json.dumps(drift_json(found, sheet, prefer), indent=1) + "\n",
    }
