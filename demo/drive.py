"""Make the demo drive: an invented first drive of the invented Heron engine.

Nothing here was measured; oil pressure is what the engine's own oil system gives. The engine is
overrevved once for about a second and a half, and the driver brakes with the clutch down instead of
letting the engine pull the car back.

    python demo/drive.py OUT.csv
"""

import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from witnessmark.jobs.build import load_build
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.lubrication.system import OilSystem
from witnessmark.physics.road_load import Vehicle, tractive_force

Floats = NDArray[np.float64]

STEP = 0.1  # s
SENDER = 0.8  # s; how slowly the gauge follows
PSI = 6894.757  # Pa
HERON = Vehicle(1480.0, 0.68, 0.012, 1.95, (3.36, 1.98, 1.37, 1.02, 0.79), 3.77, 0.92)
IDLE = 950 / 60  # rev/s
DISPLACEMENT = 2.438e-3  # m³
ATMOSPHERE = 100.6  # kPa

# What the driver does: (gear, road speed to reach in km/h, seconds, how he slows).
# "engine" lifts off in gear; "clutch" brakes with the clutch down.
Move = tuple[int, float, float, str]
WARM_UP: list[Move] = [
    (1, 18, 5, ""), (2, 34, 8, ""), (2, 27, 10, ""), (3, 46, 14, ""), (3, 40, 16, ""),
    (2, 30, 9, "clutch"), (2, 36, 10, ""), (3, 49, 15, ""), (3, 44, 18, ""), (4, 60, 22, ""),
    (4, 54, 20, ""), (3, 40, 9, "clutch"), (3, 50, 16, ""), (4, 63, 22, ""), (4, 56, 24, ""),
]  # fmt: skip
PULLS: list[Move] = [
    (3, 48, 6, "clutch"), (3, 76, 7, ""), (3, 46, 8, "engine"),
    (3, 80, 8, ""), (4, 84, 3, ""), (4, 62, 7, "clutch"), (4, 90, 11, ""), (4, 66, 8, "clutch"),
    (2, 28, 8, "clutch"), (2, 52, 5, ""), (3, 56, 2, ""), (3, 78, 6, ""), (3, 50, 8, "engine"),
    (3, 74, 6, ""), (4, 76, 2, ""), (4, 94, 9, ""), (4, 70, 6, "clutch"), (4, 64, 12, ""),
]  # fmt: skip
LATE_CHANGE: list[Move] = [(2, 30, 8, "clutch"), (2, 67.5, 7.5, ""), (3, 62, 1.5, "")]
HOME: list[Move] = [
    (3, 80, 5, ""), (3, 52, 9, "engine"), (3, 77, 7, ""), (4, 80, 2, ""), (4, 58, 8, "clutch"),
    (3, 44, 5, "clutch"), (3, 70, 7, ""), (3, 58, 6, "clutch"), (2, 32, 7, "clutch"),
    (2, 46, 6, ""), (2, 20, 6, "clutch"), (1, 0, 5, "clutch"),
]  # fmt: skip


def main(path: Path) -> None:
    """Write the drive as a semicolon file with decimal commas, as many loggers do."""
    rows = drive(np.random.default_rng(417), oil_system())
    names = ";".join(name for name, _, _ in COLUMNS)
    lines = [
        ";".join(f"{row[key]:.{places}f}" for _, key, places in COLUMNS).replace(".", ",")
        for row in rows
    ]
    path.write_text("\n".join([names, *lines]) + "\n", encoding="utf-8")


COLUMNS = (
    ("Time [s]", "time", 1), ("Engine speed [rpm]", "rpm", 0),
    ("Manifold pressure [kPa abs]", "map", 1), ("Pedal [%]", "pedal", 1),
    ("Coolant [°C]", "coolant", 0),
    ("Oil temp [°C]", "oil", 1), ("Oil pressure [psi]", "pressure", 1),
    ("Lambda [-]", "lambda", 3), ("Road speed [km/h]", "road", 1), ("Battery [V]", "battery", 2),
)  # fmt: skip


def oil_system() -> OilSystem:
    """The Heron's own, leaking a little more than its sheet says and opening a little early."""
    sheet = load_build(Path(__file__).with_name("heron.toml"))
    system = prior_of_build(sheet, lubrication_book()).prior.system
    return system.vary({"leak": 1.2, "relief_opening": 0.97})


def drive(noise: np.random.Generator, system: OilSystem) -> Iterator[dict[str, float]]:
    """One row each tenth of a second, from key-on to standing at home."""
    rows = list(_rows(noise))
    turning = np.array([row["rpm"] for row in rows]) / 60
    oil = np.array([row["oil"] for row in rows]) + 273.15
    shown = 0.0
    for row, pressure in zip(rows, system.gauge(turning, oil).tolist(), strict=True):
        shown += (pressure - shown) * STEP / SENDER
        yield {**row, "pressure": max(0.0, shown / PSI + noise.normal(0, 0.6))}


def _rows(noise: np.random.Generator) -> Iterator[dict[str, float]]:
    """The rows without oil pressure."""
    road, gear, way = _trace()
    force = tractive_force(road, np.gradient(road, STEP), HERON)
    coolant, oil = 64.0, 52.0
    speed = 0.0
    for i, (v, g, how) in enumerate(zip(road.tolist(), gear.tolist(), way, strict=True)):
        wanted = 0.0 if how == "off" else _engine_speed(v, g, how)
        speed += (wanted - speed) * (0.25 if how in ("clutch", "start") else 0.8)
        torque = _torque(float(force[i]), g, how)
        pressure = _manifold(torque, speed) if speed > 5 else ATMOSPHERE
        work = max(torque, 0) * speed
        coolant += STEP * (0.040 + work / 45_000) * (1 if coolant < 88 else 0)
        coolant -= STEP * 0.25 * max(0.0, coolant - 88)
        oil += STEP * ((coolant - oil) / 160 + work / 60_000 - max(0.0, oil - 84) / 200)
        yield {
            "time": i * STEP,
            "rpm": max(0.0, speed * 60 + (noise.normal(0, 7) if speed > 5 else 0)),
            "map": pressure + noise.normal(0, 0.4),
            "pedal": _pedal(torque, how) + abs(noise.normal(0, 0.1)),
            "coolant": coolant,
            "oil": oil,
            "lambda": 1.0 + noise.normal(0, 0.012) if torque > 0 else 1.9,
            "road": v * 3.6,
            "battery": (14.1 if speed > 5 else 12.5) + noise.normal(0, 0.03),
        }


def _trace() -> tuple[Floats, NDArray[np.int64], list[str]]:
    """Road speed [m/s], gear (from 0) and manner for each row."""
    road, gear = [0.0] * 620, [0] * 620
    way = ["off"] * 30 + ["start"] * 590
    for g, to, lasts, how in WARM_UP + PULLS + LATE_CHANGE + HOME:
        n = round(lasts / STEP)
        swing = np.sin(np.linspace(0, np.pi, n + 1)[1:]) * 0.15  # nobody holds a pedal still
        road += (np.linspace(road[-1], to / 3.6, n + 1)[1:] + swing * (to > 0)).tolist()
        gear += [g - 1] * n
        way += [how or "drive"] * n
    road, gear, way = road + [0.0] * 200, gear + [0] * 200, way + ["start"] * 200
    smooth = np.convolve(np.pad(road, 4, mode="edge"), np.full(9, 1 / 9), mode="valid")
    return np.maximum(smooth, 0.0), np.array(gear), way


def _engine_speed(road: float, gear: int, how: str) -> float:
    if how in ("start", "clutch"):
        return IDLE
    ratio = HERON.gears[gear] * HERON.final_drive
    return float(max(road / HERON.wheel_circumference * ratio, IDLE))


def _torque(force: float, gear: int, how: str) -> float:
    if how in ("off", "start", "clutch"):
        return 0.0
    if how == "engine":
        return -30.0
    ratio = HERON.gears[gear] * HERON.final_drive
    wheel = force * HERON.wheel_circumference / (2 * np.pi)
    return max(float(wheel) / ratio / HERON.driveline_efficiency, 8.0)


def _manifold(torque: float, speed: float) -> float:
    """A straight line from idle (36 kPa) to full air, invented; shut throttle lies under it."""
    if torque < 0:
        return 24.0 + 0.03 * speed
    mean_effective = 4 * np.pi * torque / DISPLACEMENT / 1e5  # bar
    return float(min(36.0 + 7.0 * mean_effective, ATMOSPHERE - 1.5))


def _pedal(torque: float, how: str) -> float:
    return 0.0 if how in ("off", "start", "clutch", "engine") else 6.0 + 0.26 * torque


if __name__ == "__main__":
    main(Path(sys.argv[1]))
