"""witnessmark film: how thick the oil film of the crank's bearings gets."""

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import Quiet, Units, preferences
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.jobs.build import load_build
from witnessmark.jobs.film import EngineFilm, make_film, read_asked
from witnessmark.report.film_data import film_json
from witnessmark.report.film_terminal import film_terminal
from witnessmark.units import Preferences

_ENDINGS = (".html", ".json", ".svg", ".png")


def film(
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="Build sheet (TOML).")],
    oil_temp: Annotated[
        str | None,
        typer.Option(
            metavar="TEMPERATURE",
            help="Oil temperature of the table and the answers: '110C', '230F'. Hot oil if left "
            "out.",
        ),
    ] = None,
    fuel: Annotated[
        str | None,
        typer.Option(metavar="SHARE", help="Fuel in the oil: '5%'. None if left out."),
    ] = None,
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
    """Work out how thick the oil film in rod and main bearings gets, over speed, load and oil.

    Names the thinnest film of all and says why, what lugging, cold oil, hot oil or fuel in the
    oil does, and what film each ceiling of the plan leaves. A comparison, not a guarantee.
    """
    with faults_shown():
        check_endings(out or (), _ENDINGS)
        asked = read_asked(oil_temp, fuel)
        with bar(quiet) as progress:
            progress.step("Working out the films")
            sheet = load_build(build)
            made = make_film(sheet, asked)
            prefer = preferences(units, made.prefer)
            progress.done(0.8)
            write_all(out or (), _makers(made, prefer), progress.step)
        if not quiet:
            Console().print(film_terminal(made, prefer))


def _makers(made: EngineFilm, prefer: Preferences) -> dict[str, Maker]:
    # Charts take most of a second to load: only a reader who asks for them waits.
    def html() -> str:
        from witnessmark.report.html import film_html  # noqa: PLC0415

        return film_html(made, prefer)

    def drawn() -> str:
        from witnessmark.report.film_chart import film_chart  # noqa: PLC0415

        return film_chart(made, prefer, narrow=False).wide

    def png() -> bytes:
        from witnessmark.report.film_chart import film_png  # noqa: PLC0415

        return film_png(made, prefer)

    return {
        ".html": html,
        ".svg": drawn,
        ".png": png,
        ".json": lambda: json.dumps(film_json(made, prefer), indent=1) + "\n",
    }
