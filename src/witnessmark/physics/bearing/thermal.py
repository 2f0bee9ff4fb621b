"""How hot the oil in a bearing's film runs: friction makes the heat, the oil leaving takes it away.

Viscosity sets the film's friction and flow, these set its temperature, and that the viscosity.
One unknown a state, all states at once.
"""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.physics.bearing.feed import combined_flow, hole_share, land_conductance
from witnessmark.physics.bearing.steady import Steady, eccentricity_at, steady
from witnessmark.physics.checked import checked
from witnessmark.physics.oil.oil import Oil

Floats = NDArray[np.float64]
Viscosity = Callable[[Floats], Floats]  # Pa s at a temperature in K

_SIZES = "check the bearing sizes on the build sheet"
_CLOSE = 1e-10  # of the temperature rise; the energy balance closes as well as this
_START = np.log(10.0)  # first guess of the film's warming, 10 K
_STEP = np.log(3.0)  # and how the search for a bracket widens
_TRIES = 80


@dataclass(frozen=True)
class Journal:
    """Sizes of a bearing; each a number or an array.

    diameter, clearance (radial) and length of one land [m]; lands 1, or 2 with a groove round
    the middle, which part the load evenly.
    """

    diameter: ArrayLike
    length: ArrayLike
    clearance: ArrayLike
    lands: int = 1


@dataclass(frozen=True)
class Film:
    """A bearing's film: load [N], speed [rev/s], viscosity [Pa s], sommerfeld, and `steady`."""

    journal: Journal
    load: Floats
    speed: Floats
    viscosity: Floats
    sommerfeld: Floats
    steady: Steady

    @property
    def friction_power(self) -> Floats:
        """Heat made by shearing the film. [W]"""
        return (
            2
            * np.pi
            * self.speed
            * self.steady.friction
            * _floats(self.journal.clearance)
            * (self.load)
        )

    @property
    def drawn(self) -> Floats:
        """Flow that rotation draws into the film, all lands. [m³/s]"""
        bearing = self.journal
        size = _floats(bearing.diameter) / 2 * _floats(bearing.clearance) * _floats(bearing.length)
        return bearing.lands * self.steady.flow * size * self.speed


Stream = Callable[[Film], Floats]  # the flow [m³/s] that leaves with the whole temperature rise


@dataclass(frozen=True)
class Settled:
    """A film in balance with its heat. Every field is an array of the states' shape.

    temperature of the film [K]; rise of the oil that takes the heat away, over the inlet [K];
    viscosity in the film [Pa s]; sommerfeld [-]; eccentricity [-], 0.9995 where the table ends:
    contact; friction_power [W]; stream, the flow with that rise [m³/s]; heat_capacity [J/(m³ K)].
    """

    temperature: Floats
    rise: Floats
    viscosity: Floats
    sommerfeld: Floats
    eccentricity: Floats
    friction_power: Floats
    stream: Floats
    heat_capacity: Floats


def specific_heat(temperature: ArrayLike, density_15: ArrayLike) -> Floats:
    """Specific heat of a mineral oil.

    Parameters
    ----------
    temperature : Oil temperature, 273 to 473 K. [K]
    density_15 : Density at 15 °C. [kg/m³]

    Returns
    -------
    (1.685 + 0.0034 t) / sqrt(s), in kJ/(kg K), t in °C, s the density over water's. [J/(kg K)]
    Inputs broadcast.

    Limits: petroleum oils; within 4 % of a textbook's engine oil from 20 to 100 °C. Synthetic
    oils may differ more.
    Source: C. S. Cragoe, US Bureau of Standards Misc. Pub. 97 (1929), from memory.
    """
    celsius = _floats(temperature) - 273.15
    density = checked("density at 15 °C", _floats(density_15), "give it in kg/m³", above=0)
    return np.asarray((1685 + 3.4 * celsius) / np.sqrt(density / 999.0))


def film_at(journal: Journal, load: ArrayLike, speed: ArrayLike, viscosity: ArrayLike) -> Film:
    """Film of a bearing at a given viscosity.

    Parameters
    ----------
    journal : Sizes.
    load : Steady load on the whole bearing, above 0. [N]
    speed : Journal speed, above 0. [rev/s]
    viscosity : Viscosity in the film; NaN stays NaN. [Pa s]

    Returns
    -------
    Film. Inputs broadcast.

    Raises ValueError for a size, load or speed that is not above 0.

    Limits: those of `steady`; a steady load, where an engine's load turns and pulses.
    """
    diameter = checked("journal diameter", _floats(journal.diameter), _SIZES, above=0)
    length = checked("land length", _floats(journal.length), _SIZES, above=0)
    clearance = checked("radial clearance", _floats(journal.clearance), _SIZES, above=0)
    force = checked("bearing load", _floats(load), "give the mean load", above=0)
    turns = checked("journal speed", _floats(speed), "give a speed of a running engine", above=0)
    mu = _floats(viscosity)
    pressure = force / (journal.lands * diameter * length)
    number = (diameter / (2 * clearance)) ** 2 * mu * turns / pressure
    ratio = length / diameter
    return Film(journal, force, turns, mu, number, steady(eccentricity_at(number, ratio), ratio))


def side_flow(film: Film) -> Floats:
    """All heat leaves with the oil lost at the sides, at the full rise. [m³/s]

    What goes round comes back as hot as it left: the balance of the whole bearing. No feed
    pressure. Flow and side ratio of `steady`.
    """
    return np.asarray(film.drawn * film.steady.side_ratio)


def through_flow(film: Film) -> Floats:
    """Raimondi and Boyd's balance: Q - Qs/2 leaves with the full rise. [m³/s]

    Oil lost at the sides leaves half warm, what goes round comes back as cool as the inlet.
    Cooler than `side_flow` while less than 2/3 is lost (e below about 0.55), hotter beyond.
    Source: Raimondi and Boyd (1958), part I; Shigley, ch. 12 (from memory).
    """
    return np.asarray(film.drawn * (1 - film.steady.side_ratio / 2))


def groove_flow(pressure: ArrayLike) -> Stream:
    """Heat leaves with what the feed pressure drives out of a full groove through its lands.

    Parameters
    ----------
    pressure : Feed pressure over the crankcase. [Pa]

    Returns
    -------
    Stream for `settle`; the journal's length is one land's and lands is 2.

    Limits: side flow by rotation left out, as in the source; safe when feed is weak.
    Source: Shigley, ch. 12, pressure-fed bearings (from memory); `land_conductance`.
    """
    fed = checked("feed pressure", _floats(pressure), "give it over the crankcase", above=0)

    def stream(film: Film) -> Floats:
        bearing = film.journal
        kappa = bearing.lands * land_conductance(
            bearing.diameter, bearing.length, bearing.clearance, film.steady.eccentricity
        )
        return np.asarray(kappa * fed / film.viscosity)

    return stream


def fed_flow(
    pressure: ArrayLike, conductance: Callable[[Floats], Floats], share: ArrayLike | None = None
) -> Stream:
    """Heat leaves with what rotation and feed pressure drive out together.

    Parameters
    ----------
    pressure : Feed pressure over the crankcase. [Pa]
    conductance : kappa [m³] of the feed at an eccentricity, from `feed`.
    share : Exponent of `combined_flow`; a hole's when not given. [-]

    Returns
    -------
    Stream for `settle`.

    Limits and source: `combined_flow`, NOT confirmed.
    """
    fed = checked("feed pressure", _floats(pressure), "give it over the crankcase", above=0)
    part = hole_share() if share is None else share

    def stream(film: Film) -> Floats:
        by_pressure = conductance(film.steady.eccentricity) * fed / film.viscosity
        return combined_flow(side_flow(film), by_pressure, part)

    return stream


def settle(
    journal: Journal,
    load: ArrayLike,
    speed: ArrayLike,
    inlet: ArrayLike,
    oil: Oil | Viscosity,
    heat_capacity: ArrayLike | None = None,
    stream: Stream = side_flow,
    share: float = 0.5,
) -> Settled:
    """Film temperature at which friction's heat and the heat carried away are equal.

    Parameters
    ----------
    journal, load, speed : As `film_at`.
    inlet : Oil temperature at the feed. [K]
    oil : Oil, taken at the film's mean shear rate pi D N / c, or viscosity [Pa s] against K.
    heat_capacity : Density times specific heat [J/(m³ K)]; an Oil's own when not given.
    stream : Which flow takes the heat: `side_flow`, `through_flow`, `groove_flow`, `fed_flow`.
    share : Part of the rise that the film as a whole sees; 0.5 is the mean of in and out. [-]

    Returns
    -------
    Settled. Inputs broadcast, samples of the oil too; NaN where the oil has no viscosity at inlet.
    Raises ValueError for a size or state not above 0, and where no balance exists.

    Limits: all heat goes with the oil, none into shaft or block; one temperature for the film. A
    film hotter than the oil's formula holds is answered all the same: ask the oil's `within`.
    Source: Raimondi and Boyd (1958); Shigley, ch. 12 (from memory).
    """
    feed = checked("inlet temperature", _floats(inlet), "give kelvin", above=0)
    viscosity = _viscosity_in_film(oil, journal, speed)
    capacity = _heat_capacity(oil, heat_capacity)
    part = checked("share of the rise", _floats(share), "0.5 is usual", above=0, at_most=1)
    flows = ~np.isnan(viscosity(feed))

    def look(over: Floats) -> tuple[Settled, Floats]:
        at = feed + over
        mu = viscosity(at)
        film = film_at(journal, load, speed, np.where(flows, mu, 1.0))
        flow, stores = stream(film), capacity(at)
        warming = np.where(flows, part * film.friction_power / (stores * flow), np.nan)
        where = (film.sommerfeld, film.steady.eccentricity, film.friction_power)
        return Settled(at, over / part, mu, *where, flow, stores), warming

    root = _falling_root(lambda log_over: np.log(look(np.exp(log_over))[1]) - log_over)
    found, warming = look(np.exp(root))
    fields = (getattr(found, each.name) for each in dataclasses.fields(Settled))
    return Settled(*(np.where(np.isnan(warming), np.nan, each) for each in fields))


def _viscosity_in_film(oil: Oil | Viscosity, journal: Journal, speed: ArrayLike) -> Viscosity:
    if not isinstance(oil, Oil):
        return oil
    known = oil  # bound once, so that its type stays known inside the function below
    shear = np.pi * _floats(journal.diameter) * _floats(speed) / _floats(journal.clearance)
    return lambda at: _floats(known.dynamic(at, shear))


def _heat_capacity(oil: Oil | Viscosity, given: ArrayLike | None) -> Callable[[Floats], Floats]:
    if given is not None:
        advice = "give density times specific heat"
        fixed = checked("heat capacity", _floats(given), advice, above=0)
        return lambda at: fixed
    if not isinstance(oil, Oil):
        raise ValueError(
            "film temperature: found a viscosity without a heat capacity, wanted both; "
            "give density times specific heat, or an Oil"
        )
    known = oil
    return lambda at: _floats(known.density(at)) * specific_heat(at, known.density_15)


def _falling_root(of: Callable[[Floats], Floats]) -> Floats:
    """Where each element of a falling function of x is 0: bracketed by steps, then Illinois.

    x is the logarithm of the film's warming. The warming the heat would give falls as the film
    gets warmer, so there is one root, and of is all but straight in x.
    """
    value = of(np.full((), _START))
    x = np.full(value.shape, _START)
    low, high, at_low, at_high = x.copy(), x.copy(), value.copy(), value.copy()
    for _ in range(_TRIES):
        up, down = at_high > 0, at_low < 0
        if not (up.any() or down.any()):
            break
        low, at_low = np.where(up, high, low), np.where(up, at_high, at_low)
        high, at_high = np.where(down, low, high), np.where(down, at_low, at_high)
        x = np.where(up, high + _STEP, np.where(down, low - _STEP, x))
        value = of(x)
        high, at_high = np.where(up, x, high), np.where(up, value, at_high)
        low, at_low = np.where(down, x, low), np.where(down, value, at_low)
    return _illinois(of, low, high, at_low, at_high)


def _illinois(
    of: Callable[[Floats], Floats], low: Floats, high: Floats, at_low: Floats, at_high: Floats
) -> Floats:
    """Root between low, where of is at least 0, and high, where it is at most 0."""
    last = np.zeros(low.shape)
    for _ in range(_TRIES):
        width = at_low - at_high
        part = np.divide(at_low, width, out=np.zeros(low.shape), where=width > 0)
        x = low + part * (high - low)
        value = of(x)
        if np.all((np.abs(value) < _CLOSE) | np.isnan(value)):
            return np.where(np.isnan(value), np.nan, x)
        side = np.where(value > 0, 1.0, -1.0)
        # An end that stays put twice would hold the line back: its weight is halved.
        kept = np.where(side == last, 0.5, 1.0)
        at_low, at_high = (
            np.where(side > 0, value, kept * at_low),
            np.where(side > 0, kept * at_high, value),
        )
        low, high, last = np.where(side > 0, x, low), np.where(side > 0, high, x), side
    raise ValueError(
        "film temperature: found no balance of heat, wanted a viscosity that falls smoothly as "
        "the oil warms; look at the viscosity given"
    )


def _floats(value: ArrayLike) -> Floats:
    return np.asarray(value, dtype=np.float64)
