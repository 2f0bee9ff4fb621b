"""How thick the oil film of the crank's bearings gets at its thinnest, over speed, load and oil."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.model.authority import Authority
from witnessmark.model.log import Floats, Mask
from witnessmark.model.plan import Assumption
from witnessmark.units import Quantity


@dataclass(frozen=True)
class Rough:
    """Composite roughness a film is measured by, and the textbook's marks for film over it.

    run_in [m] once the shells' peaks are worn off, new [m] as built; full_film and boundary [-].
    """

    run_in: float
    new: float
    full_film: float
    boundary: float


@dataclass(frozen=True)
class WorstPoint:
    """The thinnest film of a map, where it is, and how sure.

    speed [rev/s], load, temperature of the oil [K] and of the film [K], bearing, clearance
    (radial) [m], angle [rad] after firing top dead centre (of cylinder `counted_from` for a main).
    film [m], low and high [m]: nine of ten such builds lie between; ratio over the run-in
    roughness, ratio_low and ratio_high with the roughness's own range. `by_gas`: whether gas or
    the weight of piston and rod presses. `causes`: what makes the spread, its share, most first.
    """

    speed: float
    load: Quantity
    temperature: float
    film_temperature: float
    bearing: str
    clearance: float
    angle: float
    film: float
    low: float
    high: float
    ratio: float
    ratio_low: float
    ratio_high: float
    by_gas: bool
    causes: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class FilmMap:
    """Least film over the cycle of every bearing.

    speed [rev/s] (s,); loads (l,) with their intake pressure [Pa abs]; temperature [K] of the
    oil in the gallery (t,); bearings (b,). film [m], angle of it [rad], film_temperature [K]
    (b, s, l, t); NaN is not shown: the path never repeats, or no viscosity is known. `reached`
    (s, l): False where this engine cannot make so much boost so slowly. `full`: place of full
    throttle without boost. `worst`: None where nothing is shown.
    """

    speed: Floats
    loads: tuple[Quantity, ...]
    intake: Floats
    full: int
    temperature: Floats
    bearings: tuple[str, ...]
    film: Floats
    angle: Floats
    film_temperature: Floats
    reached: Mask
    rough: Rough
    worst: WorstPoint | None
    authority: Authority
    assumed: tuple[Assumption, ...] = ()

    @property
    def least(self) -> Floats:
        """Thinnest of all bearings (s, l, t). [m] NaN where one is not shown or out of reach."""
        return np.where(self.reached[..., None], self.film.min(axis=0), np.nan)

    @property
    def ratio(self) -> Floats:
        """Thinnest film over run-in roughness (s, l, t). [-]"""
        return self.least / self.rough.run_in

    @property
    def thinnest(self) -> NDArray[np.intp]:
        """Which bearing has the thinnest film (s, l, t); among those shown."""
        return np.asarray(np.argmin(np.where(np.isnan(self.film), np.inf, self.film), axis=0))

    @property
    def not_shown(self) -> int:
        """States within reach that are not shown."""
        return int(np.sum(np.isnan(self.film.min(axis=0))[self.reached]))

    def hottest(self) -> int:
        """Place of the hottest oil."""
        return int(np.argmax(self.temperature))
