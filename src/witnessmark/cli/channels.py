"""witnessmark channels: what each column of a log was taken for, and why."""

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from witnessmark.cli.faults import faults_shown, stderr
from witnessmark.cli.options import Bus, Quiet, ShopFolder, Units, buses, preferences, shop_in
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.errors import UserError
from witnessmark.jobs.channels import (
    LogExplained,
    explain,
    forget_told,
    read_fuel,
    recall_of,
    remember_told,
)
from witnessmark.logs.read import read_log
from witnessmark.records.shop import Shop
from witnessmark.report.channels.data import channels_json
from witnessmark.report.channels.terminal import channels_terminal
from witnessmark.units import Preferences


def channels(
    log: Annotated[
        Path, typer.Argument(metavar="LOG", help="The drive log as the logger wrote it.")
    ],
    channel: Annotated[
        list[str] | None,
        typer.Option(
            metavar="'COLUMN=name:unit'",
            help="Say what a column is, or 'COLUMN=ignore'. May be given again. With --shop it is "
            "remembered for the next log laid out the same.",
        ),
    ] = None,
    dbc: Bus = None,
    fuel: Annotated[
        str | None,
        typer.Option(
            metavar="FUEL",
            help="What is in the tank: petrol, E10, E85, ethanol, methanol or diesel. It tells "
            "what an air-fuel ratio counts by.",
        ),
    ] = None,
    shop: ShopFolder = None,
    forget: Annotated[
        bool,
        typer.Option("--forget", help="Forget what was said of such a log's columns (--shop)."),
    ] = False,
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
    """Explain every column of a LOG: what it was taken for, how sure that is, and why.

    A column that cannot be told waits for your answer, with the exact line to type. Nothing is
    judged here: that is 'witnessmark review'.
    """
    with faults_shown():
        check_endings(out or (), (".html", ".json"))
        folder = shop_in(shop)
        tank = read_fuel(fuel)
        prefer = preferences(units, Preferences())
        with bar(quiet) as progress:
            progress.step(f"Reading {log.name}")
            read = read_log(
                log, channel or (), progress.done, (), buses(dbc), tank,
                None if forget else recall_of(folder),
            )  # fmt: skip
            found = explain(read)
            _remember(folder, found, channel or [], forget)
            write_all(out or (), _makers(found, prefer), progress.step)
        if not quiet:
            Console().print(channels_terminal(found, prefer))


def _remember(shop: Shop | None, found: LogExplained, told: list[str], forgets: bool) -> None:
    """Keep or forget what was said, and say so."""
    if shop is None and forgets:
        raise UserError(
            "--forget", "no shop folder to forget it in", "the folder it is remembered in",
            "Give --shop FOLDER",
        )  # fmt: skip
    if shop is None:
        return
    if forgets:
        gone = forget_told(shop, found.log)
        said = f"{gone} forgotten" if gone else "nothing was remembered"
        stderr.print(f"Of logs laid out like this one: {said}.")
    remember_told(shop, found.log, told)
    if told:
        stderr.print("Remembered for the next log laid out like this one.")


def _makers(found: LogExplained, prefer: Preferences) -> dict[str, Maker]:
    def html() -> str:
        # Pages take most of a second to load: only a reader who asks for one waits.
        from witnessmark.report.channels.page import channels_html  # noqa: PLC0415

        return channels_html(found, prefer)

    return {
        ".html": html,
        ".json": lambda: json.dumps(channels_json(found), indent=2) + "\n",
    }
