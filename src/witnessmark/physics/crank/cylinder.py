"""Gas pressure in a cylinder over the whole cycle: one zone, a burn by Wiebe, walls if wanted.

The compression and burn are solved in closed form between two steps and swept over all states at
once; only what depends on temperature (wall heat, heat ratio, residual gas) is repeated.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from witnessmark.physics.crank.burn import GAS_CONSTANT, Burn, burnt_fraction
from witnessmark.physics.crank.motion import Cylinder, slider_crank

Array = NDArray[np.float64]
PASSES = 60  # each pass cuts the change about tenfold; many more than a few mean no answer
WHOLE = 12  # passes before caution
STEEPEST = 500.0  # fall of pressure as a power of e; past it numbers run out
SETTLED = 1e-7  # relative change of pressure between two passes


@dataclass(frozen=True)
class Valves:
    """When the valves move. [rad] of the cycle from -2 pi to 2 pi, firing top dead centre at 0.

    intake_closes < 0 < exhaust_opens < intake_opens; exhaust_closes is after -2 pi.
    blowdown : Crank angle the pressure takes to fall to the exhaust's once the valve opens.
    """

    intake_closes: float
    exhaust_opens: float
    intake_opens: float
    exhaust_closes: float
    blowdown: float

    def __post_init__(self) -> None:
        """Refuse valves that never trap a charge."""
        order = (-2 * np.pi, self.exhaust_closes, self.intake_closes, 0.0, self.exhaust_opens)
        last = (self.exhaust_opens + self.blowdown, self.intake_opens, 2 * np.pi)
        if list(order) != sorted(order) or list(last) != sorted(last) or not self.blowdown > 0:
            raise ValueError(
                f"Valves: {self} found; wanted -2 pi < exhaust closes < intake closes < 0 < "
                "exhaust opens, blowdown over before intake opens, all in rad from firing top."
            )


@dataclass(frozen=True)
class Walls:
    """Heat to the walls after Woschni: temperature [K]; scale on his coefficient [-]; head area
    over piston area [-]."""

    temperature: ArrayLike
    scale: ArrayLike = 1.0
    head_ratio: float = 1.0


@dataclass(frozen=True)
class Gas:
    """A cylinder's cycle; arrays of shape S + (n,) unless said, n crank angles.

    angle : shape (n,). [rad]     pressure : absolute. [Pa]
    temperature : of the gas with the valves shut, else NaN. [K]
    mass : trapped, shape S. [kg] heat, wall_heat, work : with valves shut, shape S. [J]
    residual : of the first law with valves shut, over the heat or the work moved, shape S. [-]
    """

    angle: Array
    pressure: Array
    temperature: Array
    mass: Array
    heat: Array
    wall_heat: Array
    work: Array
    residual: Array


def woschni(bore: float, pressure: ArrayLike, temperature: ArrayLike, velocity: ArrayLike) -> Array:
    """Heat transfer coefficient from gas to cylinder wall.

    Parameters
    ----------
    bore : [m]
    pressure : Absolute. [Pa]
    temperature : Mean of the gas. [K]
    velocity : Woschni's gas velocity. [m/s]

    Returns
    -------
    h. [W/(m² K)] Inputs broadcast.

    Limits: fitted to diesels; petrol engines differ by up to a factor of 2. Source: G. Woschni,
    SAE 670931 (1967); Heywood (1988), eq. 12.19; constants from memory.
    """
    kilopascal = np.asarray(pressure, float) / 1e3
    t, w = np.asarray(temperature, float), np.asarray(velocity, float)
    return np.asarray(3.26 * bore**-0.2 * kilopascal**0.8 * t**-0.55 * w**0.8)


def cylinder_pressure(
    angle: Array,
    cylinder: Cylinder,
    valves: Valves,
    intake_pressure: ArrayLike,
    exhaust_pressure: ArrayLike,
    fresh_mass: ArrayLike,
    heat: ArrayLike,
    burns: Sequence[Burn],
    speed: ArrayLike = 0.0,
    heat_ratio: tuple[float, float, float] = (1.4, 0.0, 0.0),
    walls: Walls | None = None,
) -> Gas:
    """Gas pressure over the cycle, for many states at once.

    Parameters
    ----------
    angle : `cycle_angles`, shape (n,). [rad]
    intake_pressure, exhaust_pressure : Absolute. [Pa] intake_temperature : [K]
    fresh_mass : `fresh_charge`, per cycle. [kg] heat : `charge_heat`, per cycle; 0 motors. [J]
    speed : Engine speed, used by the walls only. [rev/s]
    heat_ratio : cp/cv = a + b T + c T². [-, 1/K, 1/K²]

    Returns
    -------
    Gas; states broadcast to shape S.

    Limits: one zone, no leak, no ram; with valves open the pressure is the manifold's, joined by
    half cosines over blowdown and overlap. Peak pressure is as good as the burn angles given.

    Source: first law; Heywood (1988), sections 9.2.2 and 9.6.2 (approach).
    """
    states = [np.asarray(v, float)[..., None] for v in (
        intake_pressure, exhaust_pressure, fresh_mass, heat, speed)]  # fmt: skip
    if not all(np.all(v > 0) for v in states[:3]) or not all(np.all(v >= 0) for v in states[3:]):
        raise ValueError(
            "Cylinder: a pressure or mass of 0 or less, or a heat or speed below 0, found; "
            "pressures must be absolute and all of them above 0. Check the state."
        )
    inlet, exhaust, *_ = states
    # One step more on either side; there the piston is held where the valve moves.
    first = int(np.searchsorted(angle, valves.intake_closes, side="right")) - 1
    last = int(np.searchsorted(angle, valves.exhaust_opens)) + 1
    held = np.clip(angle[first:last], valves.intake_closes, valves.exhaust_opens)
    shut = _Shut(held, cylinder, burns, heat_ratio, walls, *states)
    pressure, temperature, wall_heat, mass = shut.solve()
    pushed = _mid(pressure) * np.diff(shut.volume)
    work = np.sum(pushed, axis=-1)
    released, lost = states[3][..., 0], np.sum(wall_heat, axis=-1)
    stored = mass * _energy(temperature, heat_ratio)
    missing = released - lost - work - stored
    whole = np.empty((*pressure.shape[:-1], len(angle)))
    whole[...] = pressure[..., -1:]
    whole[..., first:last] = pressure
    warm = np.full_like(whole, np.nan)
    warm[..., first:last] = temperature
    return Gas(
        angle=angle, pressure=_exchange(angle, valves, whole, inlet, exhaust), temperature=warm,
        mass=mass, heat=released + 0 * mass, wall_heat=lost, work=work,
        residual=missing / np.maximum(released, np.sum(np.abs(pushed), axis=-1)),
    )  # fmt: skip


class _Shut:
    """The part of the cycle with the valves shut; outside it the piston is held where they move."""

    def __init__(
        self, held: Array, cylinder: Cylinder, burns: Sequence[Burn],
        heat_ratio: tuple[float, float, float],
        walls: Walls | None, inlet: Array, exhaust: Array, fresh: Array, heat: Array, speed: Array,
    ) -> None:  # fmt: skip
        self.cylinder, self.walls, self.heat_ratio = cylinder, walls, heat_ratio
        self.drop = slider_crank(held, cylinder).drop
        self.volume = cylinder.clearance + cylinder.area * self.drop
        self.squeezed = np.diff(np.log(self.volume))
        self.middle = np.sqrt(self.volume[1:] * self.volume[:-1])
        self.released = heat * np.diff(burnt_fraction(held, burns), axis=-1)
        self.burning = np.cumsum(self.released, axis=-1) > 0
        self.inlet, self.exhaust, self.fresh = inlet, exhaust, fresh
        self.speed = speed
        self.wall = np.asarray(walls.temperature if walls else 0.0, float)[..., None]
        self.time = np.diff(held) / (2 * np.pi * np.maximum(speed, 1e-9))

    def solve(self) -> tuple[Array, Array, Array, Array]:
        """Pressure, temperature, heat to the walls per step, trapped mass; passes until settled."""
        a, b, c = self.heat_ratio
        gamma: Array = np.asarray(a)
        leak: Array = np.zeros_like(self.released + self.inlet + self.fresh)
        before, mass = np.asarray(np.inf), self.fresh
        for turn in range(PASSES):
            pressure = self._sweep(gamma, leak, mass)
            mass = self._mass(pressure)
            temperature = pressure * self.volume / (mass * GAS_CONSTANT)
            mean = _mid(temperature)
            if np.max(np.abs(pressure - before) / pressure) < SETTLED:
                return pressure, temperature, leak * (mean - self.wall), mass[..., 0]
            before = pressure
            gamma = a + b * mean + c * mean**2
            # Where the walls take most of the heat, whole steps swing for ever: then half steps.
            leak = leak + (1.0 if turn < WHOLE else 0.5) * (self._leak(pressure, mean) - leak)
        raise _no_pressure()

    def _sweep(self, gamma: Array, leak: Array, mass: Array) -> Array:
        """Pressure when every step compresses, takes its heat half way, and compresses on.

        Heat to the walls grows with the pressure itself, so it stands in the decay, not in the
        heat: that holds however slowly the engine turns.
        """
        decay = (gamma - 1) * leak / (mass * GAS_CONSTANT)
        half = 0.5 * (gamma * self.squeezed + decay)
        rise = np.cumsum(2 * half, axis=-1)
        if not rise.max() < STEEPEST:
            raise _no_pressure()
        heat = self.released + leak * self.wall
        gain = np.cumsum((gamma - 1) * heat / self.middle * np.exp(rise - half), axis=-1)
        later = (self.inlet + gain) * np.exp(-rise)
        return np.concatenate([np.broadcast_to(self.inlet, (*later.shape[:-1], 1)), later], -1)

    def _mass(self, pressure: Array) -> Array:
        """Fresh charge and what the last cycle left, expanded to the exhaust pressure."""
        power = 1 / self.heat_ratio[0]
        end = pressure[..., -1:]
        left = self.cylinder.clearance / self.volume[-1] * (self.exhaust / end) ** power
        if not left.max() < 1:
            raise ValueError(
                "Cylinder: more gas left over than trapped found; the exhaust pressure is far "
                "above the cylinder's. Check that all pressures are absolute."
            )
        return np.asarray(self.fresh / (1 - left))

    def _leak(self, pressure: Array, mean: Array) -> Array:
        """Heat that leaves in each step after Woschni, per kelvin over the wall. [J/K]"""
        if self.walls is None:
            return np.zeros(())
        size = self.cylinder
        area = np.pi * size.bore * self.drop + (1 + self.walls.head_ratio) * size.area
        power = self.heat_ratio[0]
        motored = self.inlet * (self.volume[0] / self.volume) ** power
        excess = _mid(np.maximum(pressure - motored, 0.0))
        start = mean[..., :1] / (self.inlet * self.volume[0])
        stir = 2.28 * 2 * size.stroke * self.speed
        stir = stir + self.burning * 3.24e-3 * size.swept * start * excess
        h = np.asarray(self.walls.scale, float)[..., None] * woschni(
            size.bore, _mid(pressure), mean, stir
        )
        return np.asarray(h * _mid(area) * self.time)


def _no_pressure() -> ValueError:
    return ValueError(
        f"Cylinder: gas pressure not settled in {PASSES} passes; the wall heat or heat ratio is "
        "out of all proportion. Check them and the engine's speed."
    )


def _mid(values: Array) -> Array:
    return np.asarray(0.5 * (values[..., 1:] + values[..., :-1]))


def _energy(temperature: Array, heat_ratio: tuple[float, float, float]) -> Array:
    """Gain of internal energy per mass from the first to the last temperature, step by step."""
    a, b, c = heat_ratio
    mean = _mid(temperature)
    capacity = GAS_CONSTANT / (a + b * mean + c * mean**2 - 1)
    return np.asarray(np.sum(capacity * np.diff(temperature, axis=-1), axis=-1))


def _exchange(angle: Array, valves: Valves, shut: Array, inlet: Array, exhaust: Array) -> Array:
    """Pressure of the whole cycle: shut part, blowdown, exhaust, overlap, intake."""
    down = _blend(angle, valves.exhaust_opens, valves.exhaust_opens + valves.blowdown)
    closes = valves.exhaust_closes + 4 * np.pi
    first, last = min(valves.intake_opens, closes), max(valves.intake_opens, closes)
    # Overlap runs past the end of the cycle, so its second half shows at the beginning.
    wrapped = np.where(angle < valves.exhaust_opens, angle + 4 * np.pi, angle)
    fresh = _blend(wrapped, first, last)
    pushed = exhaust + (inlet - exhaust) * fresh
    opened = angle > valves.exhaust_opens
    pushed = np.where(opened, pushed + (shut - exhaust) * (1 - down), pushed)
    closed = (angle >= valves.intake_closes) & ~opened
    return np.asarray(np.where(closed, shut, pushed))


def _blend(angle: Array, start: float, end: float) -> Array:
    """0 before start, 1 after end, half a cosine between."""
    x = np.clip((angle - start) / max(end - start, 1e-9), 0, 1)
    return np.asarray(0.5 - 0.5 * np.cos(np.pi * x))
