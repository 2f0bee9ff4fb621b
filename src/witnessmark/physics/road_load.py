"""What a speed trace asks of the engine: gear, engine speed and torque."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
GRAVITY = 9.80665  # m/s², standard gravity, CGPM 1901
AIR_DENSITY = 1.225  # kg/m³, ISO 2533 standard atmosphere at sea level


@dataclass(frozen=True)
class Vehicle:
    """The numbers a longitudinal model of a car needs.

    mass [kg], drag_area Cd·A [m²], rolling_resistance [-], wheel_circumference [m],
    gears and final_drive [-], driveline_efficiency [-].
    """

    mass: float
    drag_area: float
    rolling_resistance: float
    wheel_circumference: float
    gears: tuple[float, ...]
    final_drive: float
    driveline_efficiency: float


def tractive_force(road_speed: Floats, acceleration: Floats, car: Vehicle) -> Floats:
    """Force at the tyres that a level road asks for, negative when the car must be held back.

    Parameters
    ----------
    road_speed : Shape (n,). [m/s]
    acceleration : Shape (n,). [m/s²]
    car : Vehicle.

    Returns
    -------
    Rolling + air + inertia, shape (n,). [N] Rolling resistance is zero at rest.

    Limits: level road, no wind, rotating inertia left out (a few per cent in high gears, more
    in first). Source: T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE (1992), ch. 2
    and 4; from memory.
    """
    rolling = np.where(road_speed > 0, car.rolling_resistance * car.mass * GRAVITY, 0.0)
    air = 0.5 * AIR_DENSITY * car.drag_area * road_speed**2
    return rolling + air + car.mass * acceleration


def choose_gears(
    road_speed: Floats, car: Vehicle, up_at: float, down_at: float
) -> NDArray[np.int64]:
    """Gear in use for each sample of a trace: up above one engine speed, down below another.

    Parameters
    ----------
    road_speed : Shape (n,). [m/s]
    up_at, down_at : Engine speeds that make the driver change, up_at > down_at. [rev/s]

    Returns
    -------
    Index into car.gears, shape (n,). [-]

    Limits: one change a sample; the driver never skips a gear. Common practice, no source.
    """
    chosen = np.zeros(len(road_speed), dtype=np.int64)
    gear = 0
    for i, wheel in enumerate((road_speed / car.wheel_circumference * car.final_drive).tolist()):
        if wheel * car.gears[gear] > up_at and gear < len(car.gears) - 1:
            gear += 1
        elif wheel * car.gears[gear] < down_at and gear > 0:
            gear -= 1
        chosen[i] = gear
    return chosen


def engine_demand(
    road_speed: Floats, acceleration: Floats, gear: NDArray[np.int64], car: Vehicle, idle: float
) -> tuple[Floats, Floats]:
    """Engine speed and crankshaft torque that follow a trace in given gears.

    Parameters
    ----------
    road_speed, acceleration : Shape (n,). [m/s], [m/s²]
    gear : Index into car.gears, shape (n,). [-]
    idle : Speed the engine is not let fall under; the clutch slips below it. [rev/s]

    Returns
    -------
    Engine speed [rev/s] and torque [N·m], shape (n,). Torque is negative on overrun, where
    the driveline losses help to hold the car back.
    """
    ratio = np.asarray(car.gears)[gear] * car.final_drive
    speed = np.maximum(road_speed / car.wheel_circumference * ratio, idle)
    force = tractive_force(road_speed, acceleration, car)
    wheel_torque = force * car.wheel_circumference / (2 * np.pi)
    loss = np.where(force >= 0, 1 / car.driveline_efficiency, car.driveline_efficiency)
    return speed, wheel_torque / ratio * loss
