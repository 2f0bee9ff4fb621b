"""Make the demo's first heat: the invented Heron primed, fired, held and swept, with one stall.

Nothing here was measured; oil pressure is what the engine's own oil system gives. It stalls once in
the hold and is cranked again at once; the second sweep is broken off on the way down.

    python demo/first_heat.py OUT.csv
"""

import sys
from pathlib import Path

import numpy as np
from drive import PSI, SENDER, oil_system
from numpy.typing import NDArray

from witnessmark.lubrication.system import OilSystem

Floats = NDArray[np.float64]

STEP = 0.1  # s
CRANKING = 215.0  # rpm
PRIMING = 24.0  # psi; a cranking pump that is full of oil
LADDER = [2000, 2500, 3000, 3500, 4000, 4500, 4000, 3500, 3000, 2500]

# (speed to reach in rpm, seconds on it, seconds to get there)
Move = tuple[float, float, float]
PRIME: list[Move] = [(0, 14, 0), (CRANKING, 10, 0.3), (0, 64, 0.5), (CRANKING, 10, 0.3)]
FIRE: list[Move] = [(0, 65, 0.5), (CRANKING, 1.6, 0.3), (1050, 31, 1), (0, 190, 1.4)]
HOLD: list[Move] = [
    (CRANKING, 1.4, 0.3), (2000, 128, 2.5), (450, 1, 3), (0, 7, 0.8), (CRANKING, 1.8, 0.3),
    (2000, 176, 2.5),
]  # fmt: skip
SWEEP: list[Move] = [(speed, 30, 1.5) for speed in [*LADDER, *LADDER[:8]]]
END: list[Move] = [(1000, 12, 4), (0, 30, 1.4)]


def main(path: Path) -> None:
    """Write the recording as a comma file, ten rows a second."""
    columns = first_heat(np.random.default_rng(31), oil_system())
    places = (1, 0, 1, 1, 1, 2)
    lines = [
        ",".join(f"{value:.{digits}f}" for value, digits in zip(row, places, strict=True))
        for row in zip(*columns.values(), strict=True)
    ]
    path.write_text("\n".join([",".join(columns), *lines]) + "\n", encoding="utf-8")


def first_heat(noise: np.random.Generator, system: OilSystem) -> dict[str, Floats]:
    """The recording by column, from key-on to the last stop."""
    wanted = speeds([*PRIME, *FIRE, *HOLD, *SWEEP, *END])
    runs = wanted > 400
    hand = np.convolve(noise.normal(0, 1, len(wanted)), np.full(60, 1 / 60), mode="same") * 220
    rpm = np.where(wanted > 0, wanted + hand * runs + noise.normal(0, 9, len(wanted)), 0.0)
    # Warmth comes with every turn; the thermostat opens at 88 °C, the oil follows.
    coolant = 18 + 70 * (1 - np.exp(-np.cumsum(rpm) * STEP / 60 / 9000))
    coolant += np.clip(np.cumsum(rpm) * STEP / 60 - 30000, 0, None) / 6000
    oil = 18 + 74 * (1 - np.exp(-np.cumsum(rpm) * STEP / 60 / 22000))
    pressure = np.where(
        runs, system.gauge(np.maximum(rpm, 500) / 60, oil + 273.15) / PSI,
        np.where(wanted > 100, PRIMING, 0.0),
    )  # fmt: skip
    filled = _primed(wanted)
    gauge = _followed(pressure * filled) + noise.normal(0, 0.5, len(rpm))
    return {
        "Time [s]": np.arange(len(rpm)) * STEP,
        "Engine speed [rpm]": np.maximum(rpm, 0),
        "Coolant [°C]": coolant,
        "Oil temp [°C]": oil,
        "Oil pressure [psi]": np.maximum(gauge, 0),
        "Battery [V]": np.where(runs, 14.1, np.where(wanted > 0, 10.6, 12.5)),
    }


def speeds(moves: list[Move]) -> Floats:
    """Engine speed of each row: up or down to a speed, then on it."""
    found = [0.0]
    for to, stays, takes in moves:
        n = round(takes / STEP)
        found += np.linspace(found[-1], to, n + 1)[1:].tolist() if n else []
        found += [to] * round(stays / STEP)
    return np.array(found)


def _primed(wanted: Floats) -> Floats:
    """How full the galleries are: the first burst fills them."""
    cranked = np.cumsum((wanted > 100) & (wanted < 400)) * STEP
    return np.clip((cranked - 3) / 5, 0, 1)


def _followed(pressure: Floats) -> Floats:
    """What the sender shows of it."""
    shown, found = 0.0, np.empty_like(pressure)
    for i, value in enumerate(pressure.tolist()):
        shown += (value - shown) * STEP / SENDER
        found[i] = shown
    return found


if __name__ == "__main__":
    main(Path(sys.argv[1]))
