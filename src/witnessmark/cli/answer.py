"""witnessmark answer: the tuner's answer, taken into the plan."""

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from witnessmark.cli.faults import faults_shown
from witnessmark.cli.options import Quiet, Units, preferences
from witnessmark.cli.output import Maker, bar, check_endings, refuse_existing, write_all
from witnessmark.cli.packet import Force
from witnessmark.errors import UserError
from witnessmark.jobs.build import load_build
from witnessmark.jobs.file_hash import file_sha256
from witnessmark.jobs.frozen import freeze, load_plan
from witnessmark.jobs.packet.answer_blank import answer_blank
from witnessmark.jobs.packet.map_file import map_bytes, map_of
from witnessmark.jobs.packet.received import read_packet
from witnessmark.jobs.tuner_answer import AtHand, load_answer, take_answer
from witnessmark.model.plan import RunPlan
from witnessmark.report.plan.answers_terminal import answers_terminal


def answer(
    plan: Annotated[Path, typer.Option(help="Frozen plan (plan.json) he answers.")],
    answer: Annotated[
        Path | None, typer.Argument(metavar="ANSWER", help="What he filled in (answer.toml).")
    ] = None,
    out: Annotated[
        list[Path] | None,
        typer.Option(
            "--out", "-o", metavar="FILE",
            help="The new plan; its ending says what: .json (frozen), .pdf or .html. "
            "May be given again.",
        ),
    ] = None,
    packet: Annotated[
        Path | None, typer.Option(help="The packet he answers: log and map are held against it.")
    ] = None,
    log: Annotated[
        Path | None, typer.Option(help="The log he answers, where the packet is not at hand.")
    ] = None,
    map_file: Annotated[
        Path | None, typer.Option(help="The map file he sent: is it the one he names?")
    ] = None,
    build: Annotated[
        Path | None, typer.Option(help="Build sheet: oil films at the new ceilings, the redline.")
    ] = None,
    blank: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Only write an empty answer to this plan.")
    ] = None,
    units: Units = None,
    force: Force = False,
    quiet: Quiet = False,
) -> None:  # fmt: skip
    """Take the tuner's ANSWER into the plan: go on, new map, repeat the log, or stop.

    New ceilings stand in the new plan under his name, beside what they were. Nothing goes over the
    redline of the build sheet. After a "stop" nothing more is judged by the plan.
    """
    with faults_shown():
        check_endings(out or (), (".json", ".pdf", ".html"))
        refuse_existing((*(out or ()), *((blank,) if blank else ())), force)
        loaded = load_plan(plan)
        sha256 = str(freeze(loaded)["sha256"])
        if blank is not None:
            _blank(blank, loaded, sha256, answer)
            return
        if answer is None:
            raise UserError(
                "answer", "no ANSWER file was given", "what the tuner filled in is wanted",
                "Give answer.toml, or write an empty one with --blank answer.toml",
            )  # fmt: skip
        sent = read_packet(packet, packet.name) if packet else None
        new_map = map_of(map_bytes(map_file, "--map-file"), map_file.name) if map_file else None
        at_hand = AtHand(
            file_sha256(log, "--log") if log else sent.log_sha256 if sent else "",
            sent.id if sent else "", sent.map if sent else None, new_map,
            load_build(build) if build else None,
        )  # fmt: skip
        taken = take_answer(loaded, sha256, load_answer(answer), at_hand)
        _write(taken, out or (), units, quiet)
        if not quiet:
            _told(taken, at_hand, units, out or ())


def _write(taken: RunPlan, out: list[Path] | tuple[()], units: str | None, quiet: bool) -> None:
    prefer = preferences(units, taken.prefer)
    frozen = freeze(taken)
    sha256, day = str(frozen["sha256"]), taken.answers[-1].signed_on

    # The PDF engine and templates take most of a second to load: only asked for, paid for.
    def html() -> str:
        from witnessmark.report.html import plan_html  # noqa: PLC0415

        return plan_html(taken, prefer, sha256)

    def pdf() -> bytes:
        from witnessmark.report.pdf import plan_pdf  # noqa: PLC0415

        return plan_pdf(taken, prefer, sha256, dated=day)

    makers: dict[str, Maker] = {
        ".json": lambda: json.dumps(frozen, indent=2) + "\n", ".html": html, ".pdf": pdf,
    }  # fmt: skip
    with bar(quiet) as progress:
        write_all(out, makers, progress.step)


def _told(taken: RunPlan, at_hand: AtHand, units: str | None, out: list[Path] | tuple[()]) -> None:
    screen = Console()
    screen.print(answers_terminal(taken, preferences(units, taken.prefer), last=True))
    if not at_hand.log_sha256 and taken.answers[-1].log_sha256:
        screen.print(Text("Log not held against it: neither --packet nor --log was given."))
    if taken.answers[-1].map and at_hand.new_map is None:
        screen.print(Text("Map file not held against it: no --map-file was given."))
    if not out:
        screen.print(Text("Nothing was written: keep the new plan with --out plan-2.json."))


def _blank(path: Path, plan: RunPlan, sha256: str, answer: Path | None) -> None:
    if answer is not None:
        raise UserError(
            "--blank", f"an answer is given too ({answer})", "one of them is wanted",
            "Leave one out",
        )  # fmt: skip
    check_endings((path,), (".toml",))
    write_all((path,), {".toml": lambda: answer_blank(plan, sha256)}, lambda _: None)
    typer.echo(f"To be filled in: {path}")
