"""The demo: an invented engine from build sheet to plan, first heat and first drive to a verdict.

python demo/run.py FOLDER
"""

import json
import sys
from collections.abc import Callable
from pathlib import Path

from drive import main as make_drive
from first_heat import main as make_first_heat
from rich.console import Console
from rich.progress import Progress

from witnessmark.jobs.band import make_band
from witnessmark.jobs.build import load_build
from witnessmark.jobs.film import make_film
from witnessmark.jobs.first_heat import first_heat
from witnessmark.jobs.frozen import freeze
from witnessmark.jobs.packet.map_file import map_of
from witnessmark.jobs.packet.packet import Original, Packet
from witnessmark.jobs.packet.units import read_units
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import Review, review
from witnessmark.jobs.tuner_answer import answer_of_form, take_answer
from witnessmark.logs.read import read_log
from witnessmark.model.answer_file import FORMAT
from witnessmark.model.build import BuildSheet
from witnessmark.model.plan import RunPlan
from witnessmark.report.html import band_html, film_html, phases_html, plan_html, verdict_html
from witnessmark.report.packet.make import packet_bytes
from witnessmark.report.pdf import plan_pdf, verdict_pdf
from witnessmark.report.phases.terminal import phases_terminal
from witnessmark.report.plan.answers_terminal import answers_terminal
from witnessmark.report.verdict.terminal import verdict_terminal

HERE = Path(__file__).parent
PHASE = "first-50-miles"
MAP = b"an invented map, seventh version"


def main(folder: Path) -> None:
    """Leave plan, first heat, verdict, pressure band and film map in a folder, and say where."""
    folder.mkdir(parents=True, exist_ok=True)
    screen = Console()
    sheet = load_build(HERE / "heron.toml")
    plan = make_plan(sheet)
    sha256 = str(freeze(plan)["sha256"])
    recording, log = folder / "first-heat.csv", folder / "drive.csv"
    make_first_heat(recording)
    heat = first_heat(plan, read_log(recording))
    make_drive(log)
    found = review(plan, PHASE, read_log(log))
    dated = sheet.identity.signed_on
    packet = pack(found, sheet, log)
    answered = answer(plan, packet)
    made: dict[str, Callable[[], str | bytes]] = {
        "plan.html": lambda: plan_html(plan, sha256=sha256),
        "plan.pdf": lambda: plan_pdf(plan, sha256=sha256, dated=dated),
        "first-heat.html": lambda: phases_html(heat),
        "verdict.html": lambda: verdict_html(found),
        "verdict.pdf": lambda: verdict_pdf(found),
        "band.html": lambda: band_html(make_band(sheet)),
        "film.html": lambda: film_html(make_film(sheet)),
        "packet.zip": lambda: packet_bytes(packet),
        "plan-2.html": lambda: plan_html(answered, sha256=str(freeze(answered)["sha256"])),
    }
    with Progress(console=screen, transient=True) as progress:
        task = progress.add_task("Drawing the demo", total=len(made))
        for name, make in made.items():
            content = make()
            data = content.encode() if isinstance(content, str) else content
            (folder / name).write_bytes(data)
            progress.advance(task)
    screen.print(phases_terminal(heat))
    screen.print(verdict_terminal(found))
    screen.print(f"\nPacket {packet.id} went to the tuner, and his answer came back:")
    screen.print(answers_terminal(answered, answered.prefer))
    screen.print("\nEverything here is invented: shop, people, engine and drive.", style="bold")
    for name in (recording.name, log.name, *made):
        screen.print(f"  {folder / name}", soft_wrap=True)


def pack(found: Review, sheet: BuildSheet, log: Path) -> Packet:
    """The drive for the tuner, who thinks in psi, °F and AFR."""
    frozen = freeze(found.plan)
    return Packet(
        found, str(frozen["sha256"]), (json.dumps(frozen, indent=2) + "\n").encode(),
        read_units("psi,F,mph,AFR", found.plan.prefer, "demo"),
        Original(log.name, log.stat().st_size, lambda: log.open("rb")), map_of(MAP, "heron v7"),
        note="First drive. It went over once, a late change up.", sheet=sheet,
    )  # fmt: skip


def answer(plan: RunPlan, packet: Packet) -> RunPlan:
    """What the tuner made of it."""
    said = {
        "format": FORMAT, "packet": packet.id, "serial": plan.serial,
        "plan_sha256": packet.plan_sha256, "log_sha256": packet.review.log.source.sha256,
        "decision": "new map", "signed_by": "Odo Fenwright", "signed_on": "2026-11-06",
        "words": "Mixture is fine. Three more long pulls on the overrun, coolant a little lower.",
        "map": {"name": "heron v8", "crc32": map_of(MAP + b"8", "").crc32},
        "ceilings": {PHASE: {"engine_speed": "4200 rpm", "coolant_temperature": "210 °F"}},
    }  # fmt: skip
    return take_answer(plan, packet.plan_sha256, answer_of_form(said, "the tuner's answer"))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
