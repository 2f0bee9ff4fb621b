"""Least oil film of every bearing of the crank, at any speed, load and oil temperature."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.errors import UserError
from witnessmark.lubrication.crank_of_build import CrankTrain, Shell
from witnessmark.lubrication.gas_of_build import Points
from witnessmark.model.log import Floats
from witnessmark.physics.bearing.thermal import Journal, settle, through_flow
from witnessmark.physics.crank.loads import BearingLoad, main_loads, rod_load
from witnessmark.physics.crank.motion import cycle_angles
from witnessmark.physics.crank.orbit import Bearing, orbit
from witnessmark.physics.oil.oil import Oil

# Every two degrees: against every single one the least film moves by less than half a per cent.
ANGLES = cycle_angles(360)


@dataclass(frozen=True)
class Vary:
    """What is not surely known of a film: radial clearance [m] more, factors on viscosity and on
    the film's warming."""

    clearance: float = 0.0
    viscosity: float = 1.0
    rise: float = 1.0


@dataclass(frozen=True)
class PinLoads:
    """What presses on rods and mains at points of running (n,): forces (n, k, 2), (n, m, k, 2)."""

    points: Points
    rods: BearingLoad
    mains: BearingLoad | None


@dataclass(frozen=True)
class Films:
    """Least film [m], its crank angle [rad], temperature of the film [K]; each (b, n, t).

    Bearings in the order of `CrankTrain.shells`. NaN is not shown: the path does not repeat, or
    below 0 °C no viscosity is known.
    """

    film: Floats
    angle: Floats
    temperature: Floats

    def parted(self, count: int) -> "tuple[Films, Films]":
        """The films of the first `count` points, and of the rest."""
        first, rest = (
            Films(*(value[:, part] for value in vars(self).values()))
            for part in (slice(count), slice(count, None))
        )
        return first, rest


def loads_at(train: CrankTrain, points: Points) -> PinLoads:
    """Loads over the cycle at points of running.

    Parameters
    ----------
    train : Crank train.
    points : Points of running (n,).

    Returns
    -------
    PinLoads. Raises UserError where the gas takes no pressure.
    """
    try:
        gas = train.gas.pressure(ANGLES, train.cylinder, points)
    except ValueError as error:
        raise _no_film(error) from None
    size, masses = train.cylinder, train.masses
    mains = None
    if train.layout is not None:
        mains = main_loads(ANGLES, size, masses, train.layout, gas, points.speed)
    return PinLoads(points, rod_load(ANGLES, size, masses, gas, points.speed), mains)


def films_at(
    train: CrankTrain, loads: PinLoads, oil: Oil, temperature: Floats, vary: Vary | None = None
) -> Films:
    """Least film of every bearing.

    Parameters
    ----------
    train, loads : Crank train, and `loads_at` the points wanted.
    oil : The oil.
    temperature : Of the oil in the gallery (t,). [K]
    vary : Departures from the build; None for none.

    Returns
    -------
    Films. Raises UserError for sizes no film can be worked out with.

    Limits: those of `orbit` and `settle`: the film's own temperature is that of a steady load of
    the cycle's mean size, all heat leaving with the oil; viscosity at the film's mean shear rate.
    """
    how = vary or Vary()
    try:
        rods = _row(train.rods, loads.rods, loads.points.speed, oil, temperature, how)
        if loads.mains is None:
            return rods
        mains = _row(train.mains, loads.mains, loads.points.speed, oil, temperature, how)
    except ValueError as error:
        raise _no_film(error) from None
    pairs = zip(vars(rods).values(), vars(mains).values(), strict=True)
    return Films(*(np.concatenate(pair) for pair in pairs))


def _row(
    shells: tuple[Shell, ...], load: BearingLoad, speed: Floats, oil: Oil, temperature: Floats,
    vary: Vary,
) -> Films:  # fmt: skip
    """Films of one row. Inside, states are (n, t, b)."""
    # Every rod has the same load; each main its own.
    force = load.force[:, None] if load.force.ndim == 3 else load.force
    force = force[:, [one.load for one in shells]] / shells[0].lands
    clearance = np.array([one.clearance for one in shells]) + vary.clearance
    one, turns, gallery = shells[0], speed[:, None, None], temperature[:, None]
    warm, viscosity = _film_oil(
        Journal(one.diameter, one.length, clearance), _mean(force)[:, None], turns, gallery, oil,
        vary,
    )  # fmt: skip
    shape = (len(speed), len(temperature), len(shells))
    known = ~np.isnan(viscosity)
    found = orbit(
        BearingLoad(load.angle, np.broadcast_to(force[:, None], (*shape, *force.shape[-2:])),
                    load.turning),
        Bearing(one.diameter, one.length, clearance), turns, np.where(known, viscosity, 1.0),
    )  # fmt: skip
    shown = known & found.settled
    fields = (np.where(shown, value, np.nan) for value in (found.least_film, found.least_angle))
    return Films(*(np.moveaxis(value, -1, 0) for value in (*fields, warm)))


def _film_oil(
    journal: Journal, load: Floats, speed: Floats, gallery: Floats, oil: Oil, vary: Vary
) -> tuple[Floats, Floats]:
    """Temperature and viscosity of the oil in the film."""
    balance = settle(journal, load, speed, gallery, oil, stream=through_flow)
    warm = gallery + vary.rise * (balance.temperature - gallery)
    shear = np.pi * np.asarray(journal.diameter) * speed / np.asarray(journal.clearance)
    return warm, np.asarray(vary.viscosity * oil.dynamic(warm, shear))


def _mean(force: Floats) -> Floats:
    """Mean size of a load over the cycle; never nothing, for a balance needs some."""
    return np.asarray(np.maximum(np.linalg.norm(force, axis=-1).mean(axis=-1), 1.0))


def _no_film(error: ValueError) -> UserError:
    return UserError(
        "bearings", str(error), "sizes a film can be worked out with are wanted",
        "Look at bore, stroke, journal_diameter, length and clearances, and at their units",
    )  # fmt: skip


def joined(places: Sequence[Points]) -> Points:
    """All points of all places, in their order."""
    columns = zip(*(vars(place).values() for place in places), strict=True)
    return Points(*(np.concatenate(column) for column in columns))


def only(points: Points, which: int) -> Points:
    """One of the points, as points."""
    return Points(*(value[which : which + 1] for value in vars(points).values()))


def with_shells(train: CrankTrain, which: int) -> tuple[CrankTrain, int]:
    """The train with one bearing only, and whether it is a main (0 rod, 1 main)."""
    shell = train.shells[which]
    main = which >= len(train.rods)
    if main:
        return replace(train, rods=train.rods[:1], mains=(shell,)), 1
    return replace(train, rods=(shell,), mains=(), layout=None), 0
