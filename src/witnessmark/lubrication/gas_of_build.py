"""Gas pressure in the cylinders of a build, at any speed and load."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.model.build import BuildSheet
from witnessmark.model.film_book import FilmBook
from witnessmark.model.film_book import Fuel as FuelOfBook
from witnessmark.model.log import Floats
from witnessmark.model.lubrication_book import si
from witnessmark.physics.atmosphere import STANDARD_ATMOSPHERE
from witnessmark.physics.crank.burn import Burn, Fuel, charge_heat, fresh_charge
from witnessmark.physics.crank.cylinder import Valves, Walls, cylinder_pressure
from witnessmark.physics.crank.motion import Cylinder
from witnessmark.units import Kind, Quantity


@dataclass(frozen=True)
class Points:
    """Points of running (n,): speed [rev/s], intake pressure [Pa abs], lambda [-]."""

    speed: Floats
    intake: Floats
    mixture: Floats


@dataclass(frozen=True)
class Loads:
    """Loads from little to most (l,): intake pressure [Pa abs], lambda [-].

    `shown` names each: by its intake pressure, or for a diesel by its share of the most fuel.
    `full` is the place of full throttle without boost; `boosted_from` [rev/s] the speed from
    which more can be had.
    """

    intake: Floats
    mixture: Floats
    shown: tuple[Quantity, ...]
    full: int
    boosted_from: float


@dataclass(frozen=True)
class GasOfBuild:
    """What a cylinder's pressure is worked out from; SI."""

    valves: Valves
    burns: Sequence[Burn]
    fuel: Fuel
    filling: float
    intake_temperature: float
    back_pressure: float  # share of the atmosphere
    turbine: float  # exhaust pressure over boost; 0 without a turbine
    walls: Walls
    heat_ratio: tuple[float, float, float]

    def pressure(self, angle: Floats, cylinder: Cylinder, points: Points) -> Floats:
        """Pressure over the crankcase's.

        Parameters
        ----------
        angle : `cycle_angles` (k,). [rad]
        cylinder : Sizes.
        points : Points of running (n,).

        Returns
        -------
        (n, k). [Pa] Limits: `cylinder_pressure`; one burn for every speed and load.
        """
        boost = np.maximum(points.intake - STANDARD_ATMOSPHERE, 0.0)
        exhaust = STANDARD_ATMOSPHERE * (1 + self.back_pressure) + self.turbine * boost
        fresh = self.filling * fresh_charge(
            cylinder, self.valves.intake_closes, points.intake, self.intake_temperature, exhaust
        )
        gas = cylinder_pressure(
            angle, cylinder, self.valves, points.intake, exhaust, fresh,
            charge_heat(fresh, points.mixture, self.fuel), self.burns, points.speed,
            self.heat_ratio, self.walls,
        )  # fmt: skip
        return gas.pressure - STANDARD_ATMOSPHERE


def gas_of_build(sheet: BuildSheet, book: FilmBook) -> GasOfBuild:
    """Valves, burn, charge and walls of a build, all from the book."""
    gas, valves = book.gas, book.valves
    return GasOfBuild(
        valves=Valves(
            intake_closes=si(valves.intake_closes) - np.pi,
            exhaust_opens=np.pi - si(valves.exhaust_opens),
            intake_opens=2 * np.pi - si(valves.intake_opens),
            exhaust_closes=si(valves.exhaust_closes) - 2 * np.pi,
            blowdown=si(valves.blowdown),
        ),
        burns=[
            Burn(si(one.start), si(one.duration), si(one.form), si(one.completeness), si(one.share))
            for one in fuel_of(sheet, book).burn
        ],
        fuel=Fuel(
            si(fuel_of(sheet, book).heating_value), si(fuel_of(sheet, book).air_ratio),
            inducted=sheet.fuel.kind != "diesel",
        ),
        filling=si(gas.filling),
        intake_temperature=si(gas.intake),
        back_pressure=si(gas.back_pressure),
        turbine=si(gas.turbine) if sheet.induction.kind == "turbocharged" else 0.0,
        walls=Walls(si(gas.wall), si(gas.wall_heat)),
        heat_ratio=_heat_ratio(book),
    )  # fmt: skip


def fuel_of(sheet: BuildSheet, book: FilmBook) -> FuelOfBook:
    """The fuel of the book that this engine burns; an ethanol blend counts as petrol."""
    return book.diesel if sheet.fuel.kind == "diesel" else book.petrol


def loads_of_build(sheet: BuildSheet, book: FilmBook, boost: float) -> Loads:
    """The loads a map runs over: closed throttle to full throttle, then to full boost.

    Parameters
    ----------
    sheet, book : Build and book.
    boost : Most boost, over the air outside; 0 for none. [Pa]

    Returns
    -------
    Loads. A diesel's load goes with its fuel; what boost it has comes with the fuel.
    """
    fuel, steps, more = fuel_of(sheet, book), si(book.map.loads), si(book.map.boosts)
    low = np.linspace(si(fuel.closed_throttle), STANDARD_ATMOSPHERE, round(steps))
    high = STANDARD_ATMOSPHERE + boost * np.arange(1, round(more) + 1) / round(more)
    intake = np.concatenate([low, high]) if boost > 0 else low
    blower = sheet.induction.kind == "supercharged"
    start = sheet.layout.idle_speed if blower else si(book.map.boost_from)
    part = np.clip((intake - intake[0]) / (STANDARD_ATMOSPHERE - intake[0]), 0, 1)
    lean, rich = 1 / si(fuel.light), 1 / si(fuel.full)
    mixture = 1 / (lean + (rich - lean) * part)
    shown = tuple(Quantity(float(each), Kind.ABSOLUTE_PRESSURE) for each in intake)
    if sheet.fuel.kind == "diesel":
        burnt = intake / mixture
        shown = tuple(Quantity(float(each), Kind.FRACTION) for each in burnt / burnt[-1])
    return Loads(intake, mixture, shown, len(low) - 1, start)


def _heat_ratio(book: FilmBook) -> tuple[float, float, float]:
    """a, b, c of cp/cv = a + b T + c T² through the book's three points."""
    gas = book.gas
    at = np.array([si(gas.cool), si(gas.warm), si(gas.hot)])
    ratio = np.array([si(gas.ratio_cool), si(gas.ratio_warm), si(gas.ratio_hot)])
    a, b, c = np.linalg.solve(at[:, None] ** np.arange(3), ratio)
    return float(a), float(b), float(c)
