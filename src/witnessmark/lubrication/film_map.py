"""The map of least films of one build, its worst point, and how sure that is."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.lubrication.crank_of_build import CrankTrain, scale_of, weights_of
from witnessmark.lubrication.film import Films, Vary, films_at, loads_at, only, with_shells
from witnessmark.lubrication.gas_of_build import Loads, Points, fuel_of
from witnessmark.model.authority import Authority
from witnessmark.model.build import BuildSheet
from witnessmark.model.film_book import FilmBook
from witnessmark.model.film_map import FilmMap, Rough, WorstPoint
from witnessmark.model.log import Floats
from witnessmark.model.lubrication_book import NINE_OF_TEN, LubricationBook, ends, si
from witnessmark.physics.crank.roughness import composite_roughness
from witnessmark.physics.oil.oil import Oil

_GAS_DECIDES = 1.5  # film with no load over film here, from which gas and not weight presses


@dataclass(frozen=True)
class Basis:
    """What a map is worked out from; `viscosity_sd` of the logarithm of the oil's viscosity."""

    sheet: BuildSheet
    train: CrankTrain
    book: FilmBook
    circuit: LubricationBook
    oil: Oil
    viscosity_sd: float
    authority: Authority


def rough_of(book: FilmBook) -> Rough:
    """Roughness a film is measured by."""
    film = book.film
    return Rough(
        float(composite_roughness(si(film.journal), si(film.shell))),
        float(composite_roughness(si(film.journal), si(film.shell_new))),
        si(film.full_film), si(film.boundary),
    )  # fmt: skip


def speeds_of_build(sheet: BuildSheet, book: FilmBook) -> Floats:
    """Engine speeds of a map: idle, every step of the book, redline. [rev/s]"""
    idle, top, step = sheet.layout.idle_speed, sheet.layout.redline, si(book.map.step)
    between = np.arange(1, math.ceil(top / step)) * step
    # A step all but on idle or redline would say the same twice.
    between = between[(between > idle + 0.2 * step) & (between < top - 0.2 * step)]
    return np.array([idle, *between, top])


def map_points(basis: Basis, loads: Loads) -> Points:
    """Points of running of a map: every load at the first speed, then at the next."""
    speed = speeds_of_build(basis.sheet, basis.book)
    return Points(
        np.repeat(speed, len(loads.intake)), np.tile(loads.intake, len(speed)),
        np.tile(loads.mixture, len(speed)),
    )  # fmt: skip


def film_map(
    basis: Basis, loads: Loads, temperature: Floats, found: Films | None = None
) -> FilmMap:
    """Least film of every bearing over speed, load and oil temperature.

    Parameters
    ----------
    basis : Build, oil and books.
    loads : Loads of the map (l,).
    temperature : Oil in the gallery (t,). [K]
    found : Films at `map_points`, where they were worked out together with others.

    Returns
    -------
    FilmMap. Raises UserError where no film can be worked out at all.

    Limits: those of `films_at`. Of the rods only the tightest and the widest are worked out: a
    wide one carries less, a tight one runs hotter, and between them films lie between.
    """
    points, speed = map_points(basis, loads), speeds_of_build(basis.sheet, basis.book)
    shape = (len(speed), len(loads.intake))
    if found is None:
        found = films_at(basis.train, loads_at(basis.train, points), basis.oil, temperature)
    boosted = np.arange(shape[1]) > loads.full
    reached = ~boosted | (speed[:, None] >= loads.boosted_from)
    film, angle, warm = (
        value.reshape(-1, *shape, len(temperature)) for value in vars(found).values()
    )
    made = FilmMap(
        speed, loads.shown, loads.intake, loads.full, temperature,
        tuple(shell.name for shell in basis.train.shells), film, angle, warm, reached,
        rough_of(basis.book), None, basis.authority, basis.train.assumed,
    )  # fmt: skip
    return replace(made, worst=_worst(basis, made, points, found))


def _worst(basis: Basis, made: FilmMap, points: Points, found: Films) -> WorstPoint | None:
    least = made.least
    if np.all(np.isnan(least)):
        return None
    s, l, t = (int(i) for i in np.unravel_index(np.nanargmin(least), least.shape))  # noqa: E741
    b = int(made.thinnest[s, l, t])
    point, film = only(points, s * len(made.loads) + l), float(least[s, l, t])
    unloaded = float(made.film[b, s, 0, t])
    steps = spread(basis, b, point, float(made.temperature[t]), film)
    low, high = (math.sqrt(sum(pair[i] ** 2 for pair in steps.values())) for i in (0, 1))
    rough = _rough_ends(basis.book)
    whole = sum(sum(pair) ** 2 for pair in steps.values()) or 1.0
    causes = ((name, sum(pair) ** 2 / whole) for name, pair in steps.items())
    ratio = film / made.rough.run_in
    return WorstPoint(
        speed=float(made.speed[s]), load=made.loads[l], temperature=float(made.temperature[t]),
        film_temperature=float(made.film_temperature[b, s, l, t]),
        bearing=made.bearings[b], clearance=basis.train.shells[b].clearance,
        angle=float(made.angle[b, s, l, t]), film=film,
        low=film * math.exp(-low), high=film * math.exp(high), ratio=ratio,
        ratio_low=ratio * math.exp(-math.hypot(low, rough[1])),
        ratio_high=ratio * math.exp(math.hypot(high, rough[0])),
        by_gas=not unloaded < _GAS_DECIDES * film,
        causes=tuple(sorted(causes, key=lambda pair: -pair[1])),
    )  # fmt: skip


def spread(
    basis: Basis, bearing: int, point: Points, temperature: float, film: float
) -> dict[str, tuple[float, float]]:
    """How far a film may be off, by cause.

    Parameters
    ----------
    basis, bearing, point, temperature : Which film: of which shell of the train, where.
    film : What it is as built. [m]

    Returns
    -------
    Cause -> steps of the film's logarithm down and up, each 0 or more, at the 5 and 95 % ends of
    what is not known. [-]

    Limits: one cause at a time, so the roots of summed squares stand for all of them; an end at
    which no film settles counts as nothing.
    """
    train, main = with_shells(basis.train, bearing)
    at = np.array([temperature])

    def log_film(changed: CrankTrain, vary: Vary) -> float:
        found = films_at(changed, loads_at(changed, point), basis.oil, at, vary).film[main, 0, 0]
        return float(np.log(found / film)) if found > 0 else 0.0

    steps: dict[str, tuple[float, float]] = {}
    for name, changes in _unknowns(basis, train, bearing):
        moved = [log_film(*change) for change in changes]
        steps[name] = (max(0.0, -min(moved)), max(0.0, *moved))
    return steps


def _unknowns(
    basis: Basis, train: CrankTrain, bearing: int
) -> Iterator[tuple[str, list[tuple[CrankTrain, Vary]]]]:
    shell = basis.train.shells[bearing]
    if shell.measured:
        half = math.hypot(si(basis.circuit.bearings.clearance_error),
                          si(basis.circuit.bearings.clearance_bias)) / 2  # fmt: skip
        half = min(half, 0.8 * shell.clearance)
        clearances = (-half, half)
    else:
        low, high = ends(basis.book.film.clearance_assumed)
        clearances = ((low - 1) * shell.clearance, (high - 1) * shell.clearance)
    yield "clearance", [(train, Vary(clearance=each)) for each in clearances]
    wide = basis.viscosity_sd * NINE_OF_TEN / 2
    yield "viscosity", [(train, Vary(viscosity=math.exp(each))) for each in (-wide, wide)]
    yield "film temperature", [(train, Vary(rise=each)) for each in ends(basis.book.film.rise)]
    yield "burn", [(_burning(basis, train, end), Vary()) for end in (0, 1)]
    yield "weights", [(_weighing(basis, train, end), Vary()) for end in (0, 1)]


def _burning(basis: Basis, train: CrankTrain, end: int) -> CrankTrain:
    """The train with its burn at the early (0) or late (1) end of the book's range."""
    stages = fuel_of(basis.sheet, basis.book).burn
    burns = [
        replace(burn, start=ends(stage.start)[end])
        for burn, stage in zip(train.gas.burns, stages, strict=True)
    ]
    return replace(train, gas=replace(train.gas, burns=burns))


def _weighing(basis: Basis, train: CrankTrain, end: int) -> CrankTrain:
    """The train with light (0) or heavy (1) pistons and rods."""
    weights, size = weights_of(basis.sheet, basis.book), scale_of(basis.sheet, basis.book)
    masses = replace(
        train.masses,
        reciprocating=ends(weights.reciprocating)[end] * size,
        rotating=ends(weights.rotating)[end] * size,
    )
    return replace(train, masses=masses)


def _rough_ends(book: FilmBook) -> tuple[float, float]:
    """How far the logarithm of the roughness may lie below and above."""
    film = book.film
    middle = float(composite_roughness(si(film.journal), si(film.shell)))
    low, high = (
        float(composite_roughness(ends(film.journal)[i], ends(film.shell)[i])) for i in (0, 1)
    )
    return math.log(middle / low), math.log(high / middle)
