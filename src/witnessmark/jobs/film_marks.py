"""Films where a run-in asks for them: at each phase's ceiling, and when lugging."""

from dataclasses import dataclass

import numpy as np

from witnessmark.lubrication.film import films_at, joined, loads_at
from witnessmark.lubrication.film_map import Basis, rough_of
from witnessmark.lubrication.fuel_in_oil import thinned
from witnessmark.lubrication.gas_of_build import Points, fuel_of
from witnessmark.model.authority import Authority
from witnessmark.model.build import BuildSheet
from witnessmark.model.log import Floats
from witnessmark.model.lubrication_book import si
from witnessmark.model.plan import Line, Phase, RunPlan
from witnessmark.model.said import Said
from witnessmark.physics.atmosphere import STANDARD_ATMOSPHERE
from witnessmark.units import Kind, Quantity, show

IN_THE_BAY = "in the bay"  # an engine that drives nothing
NOT_A_GUARANTEE = (
    "Worked out for one smooth, round, stiff bearing in line, with a model of the gas: good for "
    "comparing one state with another, no guarantee of a bearing."
)


@dataclass(frozen=True)
class Ceiling:
    """What one phase allows: speed [rev/s], intake pressure [Pa abs], oil [K] (None: not said).

    `loaded`: False in the bay, where the engine drives nothing.
    """

    phase: str
    title: str
    speed: float
    intake: float
    oil: float | None
    loaded: bool


@dataclass(frozen=True)
class Mark:
    """A point of running in words, its speed [rev/s], and the thinnest film there by oil.

    `loaded`: False in the bay. film [m] (o,), NaN where not shown; bearing: which has it, by oil.
    """

    title: str
    speed: float
    loaded: bool
    film: Floats
    bearing: tuple[str, ...]


@dataclass(frozen=True)
class Marks:
    """Marks against oils: cold, warm, hot, very hot, hot with fuel in it.

    oil [K] (o,) and fuel [-] (o,) beside it; the first mark is lugging.
    """

    oil: Floats
    fuel: Floats
    marks: tuple[Mark, ...]


def ceilings(plan: RunPlan) -> tuple[Ceiling, ...]:
    """What every phase with a ceiling on engine speed allows."""
    highest = _highest_boost(plan)
    return tuple(_ceiling(p, highest) for p in plan.phases if "engine_speed" in p.ceilings)


def most_boost(sheet: BuildSheet, plan: RunPlan | None) -> float:
    """Most boost that plan or sheet speak of; 0 where the engine breathes by itself. [Pa]"""
    if not sheet.boosted:
        return 0.0
    return max(_highest_boost(plan) if plan else 0.0, sheet.induction.minimum_boost or 0.0)


def mark_oils(basis: Basis, hot: float) -> Floats:
    """Oil temperatures of the marks: cold, warm, hot, very hot. [K]"""
    book = basis.book.map
    return np.array([si(book.cold), si(book.warm), hot, si(book.very_hot)])


def mark_points(basis: Basis, drawn: tuple[Ceiling, ...]) -> Points:
    """Points of running of the marks."""
    return joined([place for _, _, place in _spots(basis, drawn)])


def marks(
    basis: Basis, drawn: tuple[Ceiling, ...], hot: float, fuel: float, plain: Floats
) -> Marks:
    """Thinnest films at the ceilings and when lugging, by oil.

    Parameters
    ----------
    basis : Build, oil without fuel, books.
    drawn : Ceilings of the plan.
    hot : Temperature of hot oil. [K]
    fuel : Share of fuel for the last oil. [-]
    plain : Films without fuel at `mark_points` and `mark_oils` (b, n, 4). [m]

    Returns
    -------
    Marks. Raises UserError as `films_at`.
    """
    thin = thinned(basis.sheet, basis.circuit, basis.oil, fuel)
    loads = loads_at(basis.train, mark_points(basis, drawn))
    fuelled = films_at(basis.train, loads, thin, np.array([hot])).film
    table = np.concatenate([plain, fuelled], axis=-1)
    made, start = [], 0
    for title, loaded, place in _spots(basis, drawn):
        here = table[:, start : start + len(place.speed)]
        start += len(place.speed)
        found = [_thinnest(basis, here[:, :, o]) for o in range(table.shape[-1])]
        films, bearings = zip(*found, strict=True)
        made.append(Mark(title, float(place.speed[0]), loaded, np.array(films), bearings))
    return Marks(
        np.append(mark_oils(basis, hot), hot), np.array([0.0, 0.0, 0.0, 0.0, fuel]), tuple(made)
    )


def _spots(basis: Basis, drawn: tuple[Ceiling, ...]) -> list[tuple[str, bool, Points]]:
    """Title, whether loaded, and points of every mark; lugging first."""
    ceilings_ = ((one.title, one.loaded, _places(basis, one)) for one in _apart(drawn))
    return [("Lugging, pedal down", True, _lugging(basis)), *ceilings_]


def film_lines(basis: Basis, plan: RunPlan) -> dict[str, Line]:
    """A sentence on the film at every phase's ceiling; see `ceiling_films`."""
    drawn = ceilings(plan)
    if not drawn:
        return {}
    hot = si(basis.book.map.hot)
    oils = np.unique([one.oil or hot for one in drawn])
    places = [_lugging(basis), *(_places(basis, one) for one in drawn)]
    film = films_at(basis.train, loads_at(basis.train, joined(places)), basis.oil, oils).film
    lines, start = {}, 1
    for one, place in zip(drawn, places[1:], strict=True):
        o = int(np.searchsorted(oils, one.oil or hot))
        here = film[:, start : start + len(place.speed), o]
        start += len(place.speed)
        lines[one.phase] = _line(basis, one, oils[o], here, film[:, :1, o])
    return lines


def silent_line(authority: Authority, why: str) -> Line:
    """What stands where no film can be worked out."""
    said = Said("The oil film at this ceiling is not shown: {why}.", {"why": why.rstrip(".")})
    return Line(said, NOT_A_GUARANTEE, authority)


def _ceiling(phase: Phase, highest: float) -> Ceiling:
    loaded = phase.place != IN_THE_BAY
    boost = phase.ceilings.get("boost")
    allowed = max(boost.value.value, 0.0) if boost else highest
    oil = phase.ceilings.get("oil_temperature")
    return Ceiling(
        phase.id, phase.title, phase.ceilings["engine_speed"].value.value,
        STANDARD_ATMOSPHERE + (allowed if loaded else 0.0), oil.value.value if oil else None,
        loaded,
    )  # fmt: skip


def _highest_boost(plan: RunPlan) -> float:
    found = [p.ceilings["boost"].value.value for p in plan.phases if "boost" in p.ceilings]
    return max([0.0, *found])


def _apart(drawn: tuple[Ceiling, ...]) -> tuple[Ceiling, ...]:
    """Ceilings that differ in speed or load; of equal ones the first."""
    seen: dict[tuple[float, float, bool], Ceiling] = {}
    for one in drawn:
        seen.setdefault((one.speed, one.intake, one.loaded), one)
    return tuple(seen.values())


def _lugging(basis: Basis) -> Points:
    layout = basis.sheet.layout
    speed = min(max(si(basis.book.map.lugging), layout.idle_speed), layout.redline)
    return _points(basis, speed, [(STANDARD_ATMOSPHERE, 1.0)])


def _places(basis: Basis, ceiling: Ceiling) -> Points:
    """Points at a ceiling: all the load allowed and none, for at speed none may be the worse."""
    fuel = fuel_of(basis.sheet, basis.book)
    if not ceiling.loaded:
        return _points(basis, ceiling.speed, [(si(fuel.free_running), 0.0)])
    loads = [(ceiling.intake, 1.0), (si(fuel.closed_throttle), 0.0)]
    return _points(basis, ceiling.speed, loads)


def _points(basis: Basis, speed: float, loads: list[tuple[float, float]]) -> Points:
    """Points at one speed; a load is its intake pressure and its share of the fuel, 0 or 1."""
    fuel = fuel_of(basis.sheet, basis.book)
    ends = (si(fuel.light), si(fuel.full))
    return Points(
        np.full(len(loads), speed), np.array([intake for intake, _ in loads]),
        np.array([ends[round(share)] for _, share in loads]),
    )  # fmt: skip


def _thinnest(basis: Basis, film: Floats) -> tuple[float, str]:
    """Thinnest of films (bearings, points) and its bearing; NaN if one is not shown."""
    if np.any(np.isnan(film)):
        return float("nan"), ""
    return float(film.min()), basis.train.shells[int(np.argmin(film.min(axis=1)))].name


def _line(basis: Basis, ceiling: Ceiling, oil: float, film: Floats, lugging: Floats) -> Line:
    least, bearing = _thinnest(basis, film)
    if np.isnan(least):
        return silent_line(basis.authority, "the journal's path does not settle there")
    rough = rough_of(basis.book)
    slow, _ = _thinnest(basis, lugging)
    text = (
        "Oil film at {speed}, {load}, on oil of {oil}: {film} at its thinnest, in {bearing}; "
        "{ratio} times the roughness of a shell run in, {new} times that of a new one."
    )
    if ceiling.loaded and not np.isnan(slow):
        boost = " without boost" if basis.sheet.boosted else ""
        text += f" Lugging from {{lug_speed}}, pedal down{boost}, leaves {{lug}}."
    return Line(
        Said(
            text,
            {
                "speed": Quantity(ceiling.speed, Kind.ROTATIONAL_SPEED),
                "load": _load_in_words(basis, ceiling), "oil": Quantity(oil, Kind.TEMPERATURE),
                "film": Quantity(least, Kind.ROUGHNESS), "bearing": bearing,
                "ratio": f"{least / rough.run_in:.1f}", "new": f"{least / rough.new:.1f}",
                "lug_speed": Quantity(float(_lugging(basis).speed[0]), Kind.ROTATIONAL_SPEED),
                "lug": Quantity(slow, Kind.ROUGHNESS),
            },
        ),
        NOT_A_GUARANTEE,
        basis.authority,
    )  # fmt: skip


def _load_in_words(basis: Basis, ceiling: Ceiling) -> str:
    if not ceiling.loaded:
        return "turning free"
    boost = Quantity(ceiling.intake - STANDARD_ATMOSPHERE, Kind.PRESSURE)
    if boost.value <= 0:
        return "any load"
    return f"any load, boost up to {show(boost, basis.sheet.prefer)}"
