"""witnessmark band: the oil pressure this engine should show."""

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from witnessmark.cli.exit_codes import OF_READING
from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import CalibrationFile, Quiet, Units, known_by, preferences
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.jobs.band import (
    EngineBand,
    Reading,
    judge_reading,
    make_band,
    read_reading,
)  # fmt: skip
from witnessmark.jobs.build import load_build
from witnessmark.model.pressure_band import Judged
from witnessmark.report.band.data import band_json
from witnessmark.report.band.terminal import band_terminal
from witnessmark.units import Preferences

_ENDINGS = (".html", ".json", ".svg", ".png")


def band(
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="Build sheet (TOML).")],
    reading: Annotated[
        str | None,
        typer.Option(metavar="PRESSURE", help="What the gauge shows: is it right? '80psi'."),
    ] = None,
    rpm: Annotated[
        str | None, typer.Option(metavar="SPEED", help="Engine speed at the reading: '900'.")
    ] = None,
    oil_temp: Annotated[
        str | None,
        typer.Option(metavar="TEMPERATURE", help="Oil temperature at the reading: '95C', '203F'."),
    ] = None,
    calibration: CalibrationFile = None,
    out: Annotated[
        list[Path] | None,
        typer.Option(
            "--out", "-o", metavar="FILE",
            help="Also write FILE; its ending says what: .html, .json, .svg or .png. May be "
            "given again.",
        ),
    ] = None,
    units: Units = None,
    quiet: Quiet = False,
) -> None:  # fmt: skip
    """Work out the oil pressure this engine should show, or judge one reading.

    Without a reading: a table over engine speed and oil temperature. With --reading, --rpm and
    --oil-temp: one line that says whether it is right, and why.

    Exit code 0: right, or no reading given. 3: low, high or far off. 5: cannot tell. 2: something
    in the input has to be put right first.
    """
    with faults_shown():
        check_endings(out or (), _ENDINGS)
        asked = read_reading(reading, rpm, oil_temp)
        with bar(quiet) as progress:
            progress.step("Working out the band")
            sheet = load_build(build)
            made = make_band(sheet, known_by(sheet, calibration))
            prefer = preferences(units, made.prefer)
            judged = judge_reading(made, asked) if asked else None
            write_all(out or (), _makers(made, prefer, asked, judged), progress.step)
        if judged is not None:
            Console(soft_wrap=True).print(Text(judged.said.read(prefer)))
        elif not quiet:
            Console().print(band_terminal(made, prefer))
    if judged is not None:
        raise typer.Exit(OF_READING[judged.answer])


def _makers(
    made: EngineBand, prefer: Preferences, asked: Reading | None, judged: Judged | None
) -> dict[str, Maker]:
    # Charts take most of a second to load: only a reader who asks for them waits.
    def html() -> str:
        from witnessmark.report.html import band_html  # noqa: PLC0415

        return band_html(made, prefer, asked, judged)

    def drawn() -> str:
        from witnessmark.report.band.chart import band_chart  # noqa: PLC0415

        return band_chart(made, prefer, narrow=False, reading=asked).wide

    def png() -> bytes:
        from witnessmark.report.band.chart import band_png  # noqa: PLC0415

        return band_png(made, prefer, asked)

    return {
        ".html": html,
        ".svg": drawn,
        ".png": png,
        ".json": lambda: json.dumps(band_json(made, prefer, asked, judged), indent=1) + "\n",
    }
