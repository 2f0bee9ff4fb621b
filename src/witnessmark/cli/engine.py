"""witnessmark engine: what the drives kept of one engine add up to."""

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import Quiet, ShopFolder, Units, preferences, shop_in
from witnessmark.cli.output import Maker, check_endings, write_all
from witnessmark.errors import UserError
from witnessmark.jobs.engine import engine_kept
from witnessmark.report.engine.data import engine_json
from witnessmark.report.engine.terminal import engine_terminal
from witnessmark.units import Preferences


def engine(
    serial: Annotated[
        str, typer.Argument(metavar="SERIAL", help="Serial of the engine, as on its build sheet.")
    ],
    shop: ShopFolder = None,
    out: Annotated[
        list[Path] | None,
        typer.Option(
            "--out", "-o", metavar="FILE",
            help="Also write FILE; its ending says what: .html or .json. May be given again.",
        ),
    ] = None,
    units: Units = None,
    quiet: Quiet = False,
) -> None:  # fmt: skip
    """Show what an engine has run so far: hours, turns, distance and starts, drive by drive.

    Counts the drives that 'witnessmark review --shop' has kept. A drive that two loggers took
    counts once. What no log shows is said, never counted as nothing.
    """
    with faults_shown():
        check_endings(out or (), (".html", ".json"))
        folder = shop_in(shop)
        if folder is None:
            raise UserError(
                "engine", "no shop folder", "the folder the drives are kept in",
                "Give --shop FOLDER, or set WITNESSMARK_SHOP",
            )  # fmt: skip
        found = engine_kept(folder, serial)
        own = Preferences(distance=found.drives[-1].distance_unit)
        prefer = preferences(units, own)

        def html() -> str:
            from witnessmark.report.engine.page import engine_html  # noqa: PLC0415 - slow to load

            return engine_html(found, prefer)

        makers: dict[str, Maker] = {
            ".html": html,
            ".json": lambda: json.dumps(engine_json(found), indent=2) + "\n",
        }
        write_all(out or (), makers, lambda _: None)
        if not quiet:
            Console().print(engine_terminal(found, prefer))
