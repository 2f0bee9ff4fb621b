"""witnessmark review: one drive log against one phase of a plan."""

import json
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import typer
from rich.console import Console
from rich.text import Text

from witnessmark.cli.exit_codes import OF_ANSWER
from witnessmark.cli.faults import faults_shown, stderr
from witnessmark.cli.options import (
    Bus,
    CalibrationFile,
    Columns,
    LogFile,
    Out,
    PhaseOf,
    PlanFile,
    Quiet,
    Recipe,
    School,
    SheetFile,
    ShopFolder,
    Units,
    buses,
    known_by,
    preferences,
    recipe_named,
    shop_in,
)
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.errors import UserError
from witnessmark.jobs.book import open_book
from witnessmark.jobs.build import load_build
from witnessmark.jobs.channels import recall_of
from witnessmark.jobs.frozen import drift, load_plan
from witnessmark.jobs.keep import NOTHING_KEPT, keep_or_say
from witnessmark.jobs.plan import make_plan, with_band
from witnessmark.jobs.review import CHANNELS, Review
from witnessmark.jobs.review import review as judge
from witnessmark.logs.channels.mixture import fuel_in_tank
from witnessmark.logs.read import read_log
from witnessmark.model.plan import RunPlan
from witnessmark.model.said import Said
from witnessmark.records.shop import Shop
from witnessmark.report.verdict.data import verdict_json
from witnessmark.report.verdict.terminal import verdict_terminal


def review(
    log: LogFile,
    phase: PhaseOf,
    build: SheetFile = None,
    plan: PlanFile = None,
    channel: Columns = None,
    dbc: Bus = None,
    recipe: Recipe = None,
    school: School = None,
    calibration: CalibrationFile = None,
    shop: ShopFolder = None,
    out: Out = None,
    units: Units = None,
    quiet: Quiet = False,
) -> None:
    """Judge a drive LOG: kept, broken, too little shown, or not shown.

    Exit code 0: kept. 3: a ceiling was broken. 4: too little was shown. 5: a channel the phase
    needs is not in the log. 2: something in the input has to be put right first.
    """
    with faults_shown():
        check_endings(out or (), (".pdf", ".html", ".json"))
        with bar(quiet) as progress, ThreadPoolExecutor(1) as beside:
            folder = shop_in(shop)
            progress.step(f"Reading {log.name}")
            reading = beside.submit(
                read_log, log, channel or (), progress.done, CHANNELS, buses(dbc),
                fuel=tank_of(build, plan), recall=recall_of(folder),
            )  # fmt: skip
            limits = plan_of("review", build, plan, recipe, school, calibration)
            prefer = preferences(units, limits.prefer)
            read = reading.result()
            progress.step("Judging")
            found = judge(limits, phase, read)

            # Charts and PDF take most of a second to load: only a reader who asks for them waits.
            def html() -> str:
                from witnessmark.report.html import verdict_html  # noqa: PLC0415

                return verdict_html(found, prefer)

            def pdf() -> bytes:
                from witnessmark.report.pdf import verdict_pdf  # noqa: PLC0415

                return verdict_pdf(found, prefer)

            makers: dict[str, Maker] = {
                ".html": html,
                ".pdf": pdf,
                ".json": lambda: json.dumps(verdict_json(found, prefer), indent=2) + "\n",
            }
            write_all(out or (), makers, progress.step)
            kept = _keep(folder, found, log, channel or (), progress.step)
        if not quiet:
            Console().print(verdict_terminal(found, prefer))
            for said in kept:
                Console().print(Text(said.read(prefer)))
    raise typer.Exit(OF_ANSWER[found.verdict.answer])


def tank_of(build: Path | None, frozen: Path | None) -> str:
    """The fuel the build sheet or the plan names: an air-fuel ratio is counted by it."""
    if build is not None:
        fuel = load_build(build).fuel
        return fuel_in_tank(fuel.kind, fuel.ethanol)
    if frozen is None:
        return ""
    facts = load_plan(frozen).facts
    return fuel_in_tank(facts.fuel, facts.ethanol) if facts.fuel else ""


def _keep(
    shop: Shop | None, found: Review, log: Path, told: Sequence[str], step: Callable[[str], None]
) -> Sequence[Said]:
    """Keep the drive if there is a folder for it, and say what was kept."""
    if shop is None:
        return (NOTHING_KEPT,)
    step("Keeping the drive")
    return keep_or_say(shop, found, log.read_bytes(), tuple(told))


def plan_of(
    command: str, build: Path | None, frozen: Path | None, recipe: str | None,
    school: str | None, calibration: Path | None,
) -> RunPlan:  # fmt: skip
    """The plan a command was given: made from the sheet afresh, or frozen. Raises UserError."""
    both = build is not None and frozen is not None
    if (build is None and frozen is None) or (both and calibration is None):
        raise UserError(
            command, "a build sheet and a plan" if build else "no build sheet and no plan",
            "one of --build FILE and --plan FILE", "Give one of them",
        )  # fmt: skip
    if frozen is None:
        assert build is not None
        sheet = load_build(build)
        known = known_by(sheet, calibration)
        return make_plan(sheet, recipe_named(recipe), school=school, known=known, films=False)
    plan = load_plan(frozen)
    moved = drift(plan, open_book())
    if moved:
        stderr.print(Text(f"{frozen.name}: {moved}"))
    if calibration is None:
        return plan
    if build is None:
        raise UserError(
            "--calibration", "a frozen plan without its build sheet",
            "a calibration is read with the build sheet it was made from",
            "Give the build sheet too: --build FILE; or make the plan with --calibration",
        )  # fmt: skip
    sheet = load_build(build)
    return with_band(plan, sheet, known_by(sheet, calibration))
