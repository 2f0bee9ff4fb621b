"""witnessmark calibrate: learn this engine's oil pressure from its own logs."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import Bus, Quiet, Units, preferences
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.cli.reading import Channel, read_logs
from witnessmark.jobs.build import load_build
from witnessmark.jobs.held_out import read_held_out
from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration
from witnessmark.model.log import Log
from witnessmark.report.calibration.terminal import calibration_terminal
from witnessmark.units import Preferences

_ENDINGS = (".json", ".html", ".svg")


def calibrate(
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="Build sheet (TOML).")],
    logs: Annotated[
        list[Path],
        typer.Argument(metavar="LOG...", help="Logs of this engine on one fill of oil, in order."),
    ],
    hold_out: Annotated[
        str | None,
        typer.Option(
            metavar="SHARE",
            help="Keep back the end of the last log and say how well it is foretold: '50%'.",
        ),
    ] = None,
    channel: Channel = None,
    dbc: Bus = None,
    out: Annotated[
        list[Path] | None,
        typer.Option(
            "--out", "-o", metavar="FILE",
            help="Also write FILE; its ending says what: .json (the calibration itself, to keep), "
            ".html or .svg. May be given again.",
        ),
    ] = None,
    units: Units = None,
    quiet: Quiet = False,
) -> None:  # fmt: skip
    """Learn what this engine's oil pressure is from its own logs, starting from its build sheet.

    Each LOG must show engine speed, oil temperature and oil pressure. Keep the .json: 'drift'
    holds later logs against it.

    Exit code 0: calibrated. 2: something in the input has to be put right first.
    """
    with faults_shown():
        check_endings(out or (), _ENDINGS)
        share = read_held_out(hold_out, "--hold-out")
        with bar(quiet) as progress:
            sheet = load_build(build)
            prefer = preferences(units, sheet.prefer)
            read = read_logs(logs, channel or (), progress, dbc)
            progress.step("Fitting")
            # The sampler takes half a second to load: only now is it needed.
            from witnessmark.jobs.calibrate import calibrate as learn  # noqa: PLC0415

            learned = learn(sheet, read, share, progress.done)
            write_all(out or (), _makers(sheet, learned, read, prefer), progress.step)
        if not quiet:
            Console().print(calibration_terminal(learned, sheet, prefer))


def _makers(
    sheet: BuildSheet, learned: Calibration, logs: Sequence[Log], prefer: Preferences
) -> dict[str, Maker]:
    # Charts take most of a second to load: only a reader who asks for them waits.
    def html() -> str:
        from witnessmark.jobs.calibration_drawn import drawn  # noqa: PLC0415
        from witnessmark.report.html import calibration_html  # noqa: PLC0415

        return calibration_html(learned, sheet, drawn(sheet, learned, logs), prefer)

    def chart() -> str:
        from witnessmark.jobs.calibration_drawn import drawn  # noqa: PLC0415
        from witnessmark.report.calibration.chart import calibration_svg  # noqa: PLC0415

        return calibration_svg(drawn(sheet, learned, logs), prefer)

    def data() -> str:
        from witnessmark.jobs.calibrate import freeze_calibration  # noqa: PLC0415

        return json.dumps(freeze_calibration(learned), indent=1) + "\n"

    return {".html": html, ".svg": chart, ".json": data}
