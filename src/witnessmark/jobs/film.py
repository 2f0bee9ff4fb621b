"""How thick the oil film of the crank's bearings gets, and what follows for running in."""

from dataclasses import dataclass, replace

import numpy as np

from witnessmark.errors import UserError, UserErrors
from witnessmark.jobs.film_answers import Answer, answers
from witnessmark.jobs.film_basis import authority_of, basis_of
from witnessmark.jobs.film_book import film_book
from witnessmark.jobs.film_marks import (
    Ceiling,
    Marks,
    ceilings,
    film_lines,
    mark_oils,
    mark_points,
    marks,
    most_boost,
    silent_line,
)
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.jobs.recipe_plan import recipe_plan
from witnessmark.lubrication.film import films_at, joined, loads_at
from witnessmark.lubrication.film_map import Basis, film_map, map_points
from witnessmark.lubrication.fuel_in_oil import thinned
from witnessmark.lubrication.gas_of_build import Loads, loads_of_build
from witnessmark.model.build import BuildSheet
from witnessmark.model.film_map import FilmMap
from witnessmark.model.log import Floats
from witnessmark.model.lubrication_book import si
from witnessmark.model.plan import Line, RunPlan
from witnessmark.units import Kind, Preferences, Quantity, parse, show


@dataclass(frozen=True)
class FilmAsked:
    """What the user wants the map for: oil in the gallery [K], fuel in it [-]; None for the
    book's hot oil."""

    oil_temperature: float | None = None
    fuel: float = 0.0


@dataclass(frozen=True)
class EngineFilm:
    """A map of films with the engine it belongs to.

    `shown`: place of the oil temperature the table is for. `ceilings`: of the plan's phases,
    none where no plan could be made and `no_plan` says why. `mains_missing`: why no main bearing
    is in it, "" where they all are.
    """

    serial: str
    engine: str
    oil: str
    fuel: float
    build_sha256: str
    prefer: Preferences
    map: FilmMap
    shown: int
    marks: Marks
    answers: tuple[Answer, ...]
    ceilings: tuple[Ceiling, ...]
    no_plan: str
    mains_missing: str


def make_film(sheet: BuildSheet, asked: FilmAsked | None = None) -> EngineFilm:
    """The films of an engine over speed, load and oil temperature.

    Parameters
    ----------
    sheet : What was built.
    asked : Oil temperature and fuel in the oil; hot oil without fuel if None.

    Returns
    -------
    EngineFilm.

    Raises UserError for an oil, a crank or bearings no film can be worked out for.
    """
    want = asked or FilmAsked()
    basis = basis_of(sheet)
    book = basis.book.map
    hot = si(book.hot) if want.oil_temperature is None else want.oil_temperature
    temperature = np.unique(mark_oils(basis, hot))
    plan, no_plan = _plan(sheet)
    drawn = ceilings(plan) if plan else ()
    loads = loads_of_build(sheet, basis.book, most_boost(sheet, plan))
    made, plain = _films(basis, loads, drawn, temperature, want.fuel)
    plain = plain[:, :, np.searchsorted(temperature, mark_oils(basis, hot))]
    table = marks(basis, drawn, hot, want.fuel or si(book.fuel), plain)
    where = int(np.argmin(np.abs(temperature - hot)))
    name = sheet.slot("oil.grade")
    return EngineFilm(
        sheet.identity.serial, sheet.describe(), name if isinstance(name, str) else "", want.fuel,
        sheet.sha256, sheet.prefer, made, where, table, answers(made, where, table), drawn,
        no_plan, basis.train.mains_missing,
    )  # fmt: skip


def _films(
    basis: Basis, loads: Loads, drawn: tuple[Ceiling, ...], temperature: Floats, fuel: float
) -> tuple[FilmMap, Floats]:
    """The map on the oil as it is, and the films at the marks on the oil without fuel.

    Where both have the same oil they are worked out together: many states at once cost little
    more than few.
    """
    grid, spots = map_points(basis, loads), mark_points(basis, drawn)
    if fuel:
        thin = replace(basis, oil=thinned(basis.sheet, basis.circuit, basis.oil, fuel))
        plain = films_at(basis.train, loads_at(basis.train, spots), basis.oil, temperature)
        return film_map(thin, loads, temperature), plain.film
    pins = loads_at(basis.train, joined([grid, spots]))
    both = films_at(basis.train, pins, basis.oil, temperature)
    mapped, plain = both.parted(len(grid.speed))
    return film_map(basis, loads, temperature, mapped), plain.film


def ceiling_films(sheet: BuildSheet, plan: RunPlan) -> dict[str, Line]:
    """Why each phase's ceilings: the oil film that is left at them.

    Parameters
    ----------
    sheet : What was built.
    plan : Its plan.

    Returns
    -------
    Phase id -> a sentence, for every phase with a ceiling on engine speed. Where no film can be
    worked out the sentence says that none is shown, and why: a plan never fails for it.
    """
    try:
        return film_lines(basis_of(sheet), plan)
    except UserError as error:
        silent = silent_line(authority_of(sheet), error.faults[0].told)
        return {one.phase: silent for one in ceilings(plan)}


def read_asked(
    oil_temperature: str | None, fuel: str | None, names: tuple[str, str] = ("--oil-temp", "--fuel")
) -> FilmAsked:
    """What people type: "110C", "5%". Raises UserError for what cannot be read or worked out."""
    band, most = lubrication_book().band, si(film_book().map.most_fuel)
    hot: float | None = None
    if oil_temperature and oil_temperature.strip():
        hot = parse(oil_temperature.strip(), Kind.TEMPERATURE, names[0]).value
        if not si(band.coldest) <= hot <= si(band.hottest):
            ends = [_shown(si(end), Kind.TEMPERATURE) for end in (band.coldest, band.hottest)]
            raise UserError(
                names[0], f"oil of '{oil_temperature.strip()}'",
                f"{ends[0]} to {ends[1]} is wanted: colder, only an upper bound of an oil's "
                "viscosity is known; hotter, nothing vouches for it",
                "Give a temperature between them",
            )  # fmt: skip
    share = parse(fuel.strip(), Kind.FRACTION, names[1]).value if fuel and fuel.strip() else 0.0
    if not 0 <= share <= most:
        raise UserError(
            names[1], f"'{(fuel or '').strip()}' of fuel in the oil",
            f"0 to {_shown(most, Kind.FRACTION)} is wanted", "Write it as '5%'",
        )  # fmt: skip
    return FilmAsked(hot, share)


def _shown(value: float, kind: Kind) -> str:
    return show(Quantity(value, kind), Preferences())


def _plan(sheet: BuildSheet) -> tuple[RunPlan | None, str]:
    try:
        return recipe_plan(sheet), ""
    except UserErrors as error:
        return None, f"no plan could be made from this sheet: {error.faults[0].told}"
    except UserError as error:
        return None, f"no plan could be made from this sheet: {error.told}"
