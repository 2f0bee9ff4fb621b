"""What `witnessmark film` does; apart, because orbits take a second to load."""

import json
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from witnessmark.cli.options import preferences
from witnessmark.cli.output import Maker, bar, check_endings, write_all
from witnessmark.jobs.build import load_build
from witnessmark.jobs.film import EngineFilm, make_film, read_asked
from witnessmark.report.film.data import film_json
from witnessmark.report.film.terminal import film_terminal
from witnessmark.units import Preferences

_ENDINGS = (".html", ".json", ".svg", ".png")


def show_film(
    build: Path, oil_temp: str | None, fuel: str | None, out: Sequence[Path], units: str | None,
    quiet: bool,
) -> None:  # fmt: skip
    """Work out the films of a build sheet, print them and write the files asked for.

    Raises UserError for what a user can put right.
    """
    check_endings(out, _ENDINGS)
    asked = read_asked(oil_temp, fuel)
    with bar(quiet) as progress:
        progress.step("Working out the films")
        sheet = load_build(build)
        made = make_film(sheet, asked)
        prefer = preferences(units, made.prefer)
        progress.done(0.8)
        write_all(out, _makers(made, prefer), progress.step)
    if not quiet:
        Console().print(film_terminal(made, prefer))


def _makers(made: EngineFilm, prefer: Preferences) -> dict[str, Maker]:
    # Charts take most of a second to load: only a reader who asks for them waits.
    def html() -> str:
        from witnessmark.report.html import film_html  # noqa: PLC0415

        return film_html(made, prefer)

    def drawn() -> str:
        from witnessmark.report.film.chart import film_chart  # noqa: PLC0415

        return film_chart(made, prefer, narrow=False).wide

    def png() -> bytes:
        from witnessmark.report.film.chart import film_png  # noqa: PLC0415

        return film_png(made, prefer)

    return {
        ".html": html,
        ".svg": drawn,
        ".png": png,
        ".json": lambda: json.dumps(film_json(made, prefer), indent=1) + "\n",
    }
