"""witnessmark film: how thick the oil film of the crank's bearings gets."""

from pathlib import Path
from typing import Annotated

import typer

from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import Quiet, Units


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
        # Orbits and their tables take a second to load: no other command waits for them.
        from witnessmark.cli.film_shown import show_film  # noqa: PLC0415

        show_film(build, oil_temp, fuel, out or (), units, quiet)
