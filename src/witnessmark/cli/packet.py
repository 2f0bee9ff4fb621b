"""witnessmark packet: one drive, packed for the tuner who has to decide."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from witnessmark.cli.faults import faults_shown, stderr
from witnessmark.cli.options import (
    Bus,
    CalibrationFile,
    Columns,
    LogFile,
    PhaseOf,
    Quiet,
    Recipe,
    School,
    ShopFolder,
    buses,
    known_by,
    recipe_named,
    shop_in,
)
from witnessmark.cli.output import bar, check_endings, refuse_existing
from witnessmark.errors import UserError
from witnessmark.jobs.book import open_book
from witnessmark.jobs.build import load_build
from witnessmark.jobs.channels import recall_of
from witnessmark.jobs.frozen import drift, freeze, load_plan
from witnessmark.jobs.packet.map_file import map_bytes, map_of
from witnessmark.jobs.packet.packet import Original, Packet
from witnessmark.jobs.packet.units import read_units
from witnessmark.jobs.plan import make_plan, with_band
from witnessmark.jobs.review import review as judge
from witnessmark.jobs.stopped import refuse_stopped
from witnessmark.logs.channels.mixture import fuel_in_tank
from witnessmark.logs.read import read_log
from witnessmark.model.build import BuildSheet
from witnessmark.model.log import Log
from witnessmark.model.plan import RunPlan
from witnessmark.model.tuner_answer import MapNamed

Force = Annotated[bool, typer.Option("--force", help="Write over a file that is there already.")]


def packet(
    log: LogFile,
    phase: PhaseOf,
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FILE", help="The packet to write, a .zip.")
    ],
    plan: Annotated[Path | None, typer.Option(help="Frozen plan (plan.json).")] = None,
    build: Annotated[
        Path | None, typer.Option(help="Build sheet, in place of --plan; the plan is made from it.")
    ] = None,
    sheet: Annotated[
        Path | None,
        typer.Option(help="With --plan: its build sheet, for the build in short."),
    ] = None,
    map_name: Annotated[
        str | None, typer.Option("--map", metavar="NAME", help="What the tuner calls the map.")
    ] = None,
    map_file: Annotated[
        Path | None, typer.Option(help="The map's file: its checksums go into the packet.")
    ] = None,
    include_map: Annotated[
        bool, typer.Option("--include-map", help="Put the map's file into the packet too.")
    ] = False,
    tuner_units: Annotated[
        str | None,
        typer.Option(metavar="LIST", help="The tuner's units, if not the plan's: 'psi,F,mph,afr'."),
    ] = None,
    note: Annotated[str, typer.Option(metavar="TEXT", help="A word to the tuner.")] = "",
    answer_to: Annotated[
        str,
        typer.Option(metavar="TEXT", help="Whom he answers, and how; else the sheet's shop."),
    ] = "",
    channel: Columns = None,
    dbc: Bus = None,
    recipe: Recipe = None,
    school: School = None,
    calibration: CalibrationFile = None,
    shop: ShopFolder = None,
    without_original: Annotated[
        bool, typer.Option("--without-original", help="Leave the log's own file out.")
    ] = False,
    force: Force = False,
    quiet: Quiet = False,
) -> None:  # fmt: skip
    """Pack one drive LOG for the tuner: verdict, clean log, worst moments, build, his answer form.

    He needs nothing of ours to read it. Fill in answer.toml, or have him do so, and take it into
    the plan with 'witnessmark answer'.
    """
    with faults_shown():
        check_endings((out,), (".zip",))
        refuse_existing((out,), force)
        named, data = _map(map_name, map_file, include_map)
        folder = shop_in(shop)
        with bar(quiet) as progress:
            progress.step("Making the plan")
            terms = _terms(plan, build, sheet, recipe_named(recipe), school, calibration)
            prefer = read_units(tuner_units or "", terms.frozen_plan.prefer, "--tuner-units")
            progress.step(f"Reading {log.name}")
            facts = terms.frozen_plan.facts
            read = read_log(
                log, channel or (), progress.done, buses=buses(dbc), recall=recall_of(folder),
                fuel=fuel_in_tank(facts.fuel, facts.ethanol) if facts.fuel else "",
            )  # fmt: skip
            progress.step("Judging")
            found = judge(terms.judged_by, phase, read)
            made = Packet(
                found, terms.sha256, terms.text, prefer,
                None if without_original else _original(log, read), named, data, note, answer_to,
                terms.sheet,
            )  # fmt: skip
            _write(made, out, progress.step)
        if not quiet:
            _told(made, out)


@dataclass(frozen=True)
class _Terms:
    frozen_plan: RunPlan
    judged_by: RunPlan
    sha256: str
    text: bytes
    sheet: BuildSheet | None


def _terms(
    plan: Path | None, build: Path | None, sheet: Path | None, recipe: str | Path | None,
    school: str | None, calibration: Path | None,
) -> _Terms:  # fmt: skip
    if (plan is None) == (build is None):
        found = "a build sheet and a plan" if build else "no build sheet and no plan"
        raise UserError("packet", found, "one of --build FILE and --plan FILE", "Give one of them")
    if plan is None:
        assert build is not None
        built = load_build(build)
        # With its oil films, as 'witnessmark plan' makes it: the answer names this very plan.
        made = make_plan(built, recipe, school=school, known=known_by(built, calibration))
        return _frozen(made, made, built)
    loaded = load_plan(plan)
    refuse_stopped(loaded)
    moved = drift(loaded, open_book())
    if moved:
        stderr.print(Text(f"{plan.name}: {moved}"))
    built_as = load_build(sheet) if sheet else None
    if calibration is None:
        return _frozen(loaded, loaded, built_as)
    if built_as is None:
        raise UserError(
            "--calibration", "a frozen plan without its build sheet",
            "a calibration is read with the build sheet it was made from",
            "Give the build sheet too: --sheet FILE",
        )  # fmt: skip
    known = known_by(built_as, calibration)
    return _frozen(loaded, with_band(loaded, built_as, known), built_as)


def _frozen(kept: RunPlan, judged_by: RunPlan, sheet: BuildSheet | None) -> _Terms:
    frozen = freeze(kept)
    text = (json.dumps(frozen, indent=2) + "\n").encode()
    return _Terms(kept, judged_by, str(frozen["sha256"]), text, sheet)


def _map(
    name: str | None, path: Path | None, include: bool
) -> tuple[MapNamed | None, bytes | None]:
    if path is None:
        if include:
            raise UserError(
                "--include-map", "no map file was given", "--map-file FILE is wanted with it",
                "Give the file, or leave --include-map out",
            )  # fmt: skip
        return (MapNamed(name), None) if name else (None, None)
    data = map_bytes(path, "--map-file")
    return map_of(data, name or path.name), data if include else None


def _original(path: Path, log: Log) -> Original:
    return Original(log.source.name, log.source.size, lambda: path.open("rb"))


def _write(made: Packet, out: Path, step: Callable[[str], None]) -> None:
    # Charts and the PDF engine take a second to load: only when everything else stands.
    from witnessmark.report.packet.make import make_packet  # noqa: PLC0415

    part = out.with_name(out.name + ".part")
    try:
        with part.open("w+b") as stream:
            make_packet(made, stream, lambda name: step(f"Writing {name}"))
        part.replace(out)
    except OSError as error:
        raise UserError(
            f"--out {out}", f"it could not be written ({error.strerror})",
            "a file this user may write", "Choose another place",
        ) from error  # fmt: skip
    finally:
        part.unlink(missing_ok=True)


def _told(made: Packet, out: Path) -> None:
    from witnessmark.report.packet.view import packet_view  # noqa: PLC0415 - drawn in already

    view = packet_view(made, ())
    screen = Console()
    screen.print(Text(view.headline, "bold"))
    screen.print(Text(f"Packet {view.id}: {out}", overflow="fold"))
    for fact in view.map:
        screen.print(Text(f"{fact.name}: {fact.value}"))
    if made.sheet is None:
        screen.print(Text("Without the build in short: give its sheet with --sheet FILE."))
    screen.print(Text("His answer comes back with: witnessmark answer answer.toml --plan ..."))
