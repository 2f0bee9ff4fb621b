"""The demo: an invented engine from build sheet to plan, and its first drive to a verdict.

python demo/run.py FOLDER
"""

import sys
from collections.abc import Callable
from pathlib import Path

from drive import main as make_drive
from rich.console import Console
from rich.progress import Progress

from witnessmark.jobs.band import make_band
from witnessmark.jobs.build import load_build
from witnessmark.jobs.film import make_film
from witnessmark.jobs.frozen import freeze
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.logs.read import read_log
from witnessmark.report.html import band_html, film_html, plan_html, verdict_html
from witnessmark.report.pdf import plan_pdf, verdict_pdf
from witnessmark.report.terminal import verdict_terminal

HERE = Path(__file__).parent
PHASE = "first-50-miles"


def main(folder: Path) -> None:
    """Leave plan, verdict, pressure band and film map in a folder, and say where."""
    folder.mkdir(parents=True, exist_ok=True)
    screen = Console()
    sheet = load_build(HERE / "heron.toml")
    plan = make_plan(sheet)
    sha256 = str(freeze(plan)["sha256"])
    log = folder / "drive.csv"
    make_drive(log)
    found = review(plan, PHASE, read_log(log))
    dated = sheet.identity.signed_on
    made: dict[str, Callable[[], str | bytes]] = {
        "plan.html": lambda: plan_html(plan, sha256=sha256),
        "plan.pdf": lambda: plan_pdf(plan, sha256=sha256, dated=dated),
        "verdict.html": lambda: verdict_html(found),
        "verdict.pdf": lambda: verdict_pdf(found),
        "band.html": lambda: band_html(make_band(sheet)),
        "film.html": lambda: film_html(make_film(sheet)),
    }
    with Progress(console=screen, transient=True) as progress:
        task = progress.add_task("Drawing the demo", total=len(made))
        for name, make in made.items():
            content = make()
            data = content.encode() if isinstance(content, str) else content
            (folder / name).write_bytes(data)
            progress.advance(task)
    screen.print(verdict_terminal(found))
    screen.print("\nEverything here is invented: shop, people, engine and drive.", style="bold")
    for name in ("drive.csv", *made):
        screen.print(f"  {folder / name}", soft_wrap=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
