"""A map of films as its reader sees it: words and numbers in his units."""

import math
from dataclasses import dataclass

from witnessmark.jobs.film import EngineFilm
from witnessmark.jobs.film_answers import worst_said
from witnessmark.model.film_map import FilmMap
from witnessmark.report.plan.view import AssumptionView, Fact
from witnessmark.report.words import printable, short
from witnessmark.units import Kind, Preferences, Quantity, show

NOT_SHOWN, OUT_OF_REACH = "not shown", ""
SIGNS = {"full": "", "mixed": "*", "touching": "!"}  # beside a film, by how it stands


@dataclass(frozen=True)
class FilmCell:
    """One film in µm, its ratio to the roughness, and how it stands: a key of SIGNS, or ""."""

    film: str
    ratio: str
    key: str


@dataclass(frozen=True)
class FilmRow:
    """Films of one speed or one mark; `about` is a second word on it, "" for none."""

    name: str
    about: str
    cells: tuple[FilmCell, ...]


@dataclass(frozen=True)
class FilmTable:
    """Heads of the columns and rows under them."""

    caption: str
    first: str
    heads: tuple[str, ...]
    rows: tuple[FilmRow, ...]


@dataclass(frozen=True)
class AnswerLine:
    """A question and its answer."""

    question: str
    answer: str


@dataclass(frozen=True)
class FilmView:
    """The whole page."""

    serial: str
    engine: str
    headline: str
    worst: str
    answers: tuple[AnswerLine, ...]
    table: FilmTable
    marks: FilmTable
    key: str
    facts: tuple[Fact, ...]
    causes: tuple[Fact, ...]
    assumptions: tuple[AssumptionView, ...]
    limits: tuple[str, ...]
    footer: str


LIMITS = (
    "A comparison, not a guarantee: it tells which state of this engine has the thinner film. It "
    "clears no bearing, and no measured film stands behind it.",
    "Every bearing counts as smooth, round, stiff and in line. Real shells bend, shafts lean; oil "
    "holes and an upper-half groove are not in the film, a full groove makes two bearings of one.",
    "The film counts as full of oil wherever it is pressed, which reads it somewhat too thick. The "
    "short-bearing formulas of handbooks, which read thicker still, are not used.",
    "Gas pressure comes from a model with one burn for every speed and load. Knock and early "
    "ignition are not in it, nor is a crank that bends and shares its load among the mains.",
    "Weights, burn, roughness and the heat in the film are from the book, most from memory.",
)
_CAUSES = {
    "clearance": "how well clearances are known",
    "viscosity": "how thick the oil really is",
    "film temperature": "how hot the film runs",
    "burn": "when the charge burns",
    "weights": "what piston and rod weigh",
}


def film_view(made: EngineFilm, prefer: Preferences | None = None) -> FilmView:
    """The map in words. `prefer` : the reader's units; the build sheet's own if None."""
    chosen, found = prefer or made.prefer, made.map
    return printable(
        FilmView(
            serial=made.serial, engine=made.engine, headline=_headline(found),
            worst=worst_said(found).read(chosen),
            answers=tuple(
                AnswerLine(one.question, one.said.read(chosen)) for one in made.answers[1:]
            ),
            table=_table(made, chosen), marks=_marks(made, chosen), key=_key(found),
            facts=_facts(made, chosen),
            causes=tuple(
                Fact(f"{share:.0%}".replace("%", " %"), _CAUSES[name])
                for name, share in (found.worst.causes if found.worst else ())
            ),
            assumptions=tuple(
                AssumptionView(a.path, a.said.read(chosen), a.why) for a in found.assumed
            ),
            limits=(*LIMITS, *_missing(made)),
            footer=f"Oil film of {made.serial}, from the build sheet alone, build "
            f"{short(made.build_sha256)}",
        )
    )  # fmt: skip


def _headline(found: FilmMap) -> str:
    if found.worst is None:
        return "No film is shown"
    film, ratio = found.worst.film * 1e6, found.worst.ratio
    return f"Thinnest of all: {film:.2f} µm, {ratio:.1f} times the roughness"


def _missing(made: EngineFilm) -> list[str]:
    said = []
    if made.mains_missing:
        said.append(f"Main bearings are not shown: {made.mains_missing}.")
    if made.no_plan:
        said.append(f"No ceilings are drawn: {made.no_plan}")
    if made.map.not_shown:
        said.append(
            f"{made.map.not_shown} states are not shown: the journal's path does not settle there."
        )
    return said


def _table(made: EngineFilm, prefer: Preferences) -> FilmTable:
    found, t = made.map, made.shown
    oil = show(Quantity(float(found.temperature[t]), Kind.TEMPERATURE), prefer)
    heads = [show(load, prefer) for load in found.loads]
    by = (
        "fuel as a share of the most" if found.loads[0].kind is Kind.FRACTION else "intake pressure"
    )
    rows = []
    for s, speed in enumerate(found.speed):
        cells = [
            _cell(found, float(found.least[s, i, t]), bool(found.reached[s, i]))
            for i in range(len(heads))
        ]
        rows.append(FilmRow(_speed(float(speed), prefer), "", tuple(cells)))
    fuel = f" with {made.fuel:.0%} of fuel in it".replace("%", " %") if made.fuel else ""
    return FilmTable(
        f"Thinnest film of all bearings in µm, on oil of {oil}{fuel}, by engine speed and {by}",
        "Engine speed", tuple(heads), tuple(rows),
    )  # fmt: skip


def _marks(made: EngineFilm, prefer: Preferences) -> FilmTable:
    table = made.marks
    heads = [
        f"oil {show(Quantity(float(oil), Kind.TEMPERATURE), prefer)}"
        + (f", {show(Quantity(float(fuel), Kind.FRACTION), prefer)} fuel" if fuel else "")
        for oil, fuel in zip(table.oil, table.fuel, strict=True)
    ]
    rows = (
        FilmRow(mark.title, _speed(mark.speed, prefer),
                tuple(_cell(made.map, float(film), True) for film in mark.film))
        for mark in table.marks
    )  # fmt: skip
    return FilmTable(
        "Thinnest film in µm when lugging and at the plan's ceilings, at any load allowed there",
        "Where", tuple(heads), tuple(rows),
    )  # fmt: skip


def _cell(found: FilmMap, film: float, reached: bool) -> FilmCell:
    if not reached:
        return FilmCell(OUT_OF_REACH, "", "")
    if math.isnan(film):
        return FilmCell(NOT_SHOWN, "", "")
    ratio = film / found.rough.run_in
    return FilmCell(f"{film * 1e6:.2f}", f"{ratio:.1f}\u00a0×", standing(found, ratio))


def standing(found: FilmMap, ratio: float) -> str:
    """How a film stands by the textbook: a key of SIGNS."""
    if ratio >= found.rough.full_film:
        return "full"
    return "mixed" if ratio >= found.rough.boundary else "touching"


def _key(found: FilmMap) -> str:
    rough = found.rough
    return (
        f"* under {rough.full_film:g} × the roughness of a run-in shell with its journal "
        f"({rough.run_in * 1e6:.2f} µm): mixed by the textbook. ! under {rough.boundary:g} ×: "
        "peaks touch. Empty: out of this engine's reach."
    )


def _facts(made: EngineFilm, prefer: Preferences) -> tuple[Fact, ...]:
    found = made.map
    rough = [
        show(Quantity(v, Kind.ROUGHNESS), prefer) for v in (found.rough.run_in, found.rough.new)
    ]
    oil = f"{made.oil}, {made.fuel:.0%} of fuel in it".replace("%", " %") if made.fuel else made.oil
    return (
        Fact("Rests on", "The build sheet alone"),
        Fact("Worked out by", str(found.authority)),
        Fact("Oil", oil),
        Fact("Roughness of journal and shell", f"{rough[0]} run in, {rough[1]} as built"),
        Fact("Bearings looked at", ", ".join(found.bearings)),
        Fact("Build sheet", short(made.build_sha256)),
    )


def _speed(value: float, prefer: Preferences) -> str:
    return show(Quantity(value, Kind.ROTATIONAL_SPEED), prefer)
