"""First heats played out: every boundary is known, because the test says what the engine does."""

from dataclasses import dataclass, field

import numpy as np

from tests.made import JUDGING, RPM, WHO, limit
from witnessmark.checks.terms import Terms
from witnessmark.model.log import Log, Source
from witnessmark.model.plan import Doing, Limit, Line, Phase, Step
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

SPEEDS = ("speed", "from", "to", "step")
KINDS = {"times": Kind.COUNT} | dict.fromkeys(SPEEDS, Kind.ROTATIONAL_SPEED)


def step(doing: Doing, **numbers: float) -> Step:
    """A step of a plan; speeds in rpm, times in s. `from_` stands for `from`."""
    given = {}
    for name, value in numbers.items():
        key = name.rstrip("_")
        kind = KINDS.get(key, Kind.DURATION)
        si = value * RPM if kind is Kind.ROTATIONAL_SPEED else float(value)
        given[key] = Limit(Quantity(si, kind), None, None, "the test says so", WHO)
    return Step(doing, Line(Said(doing), "because", WHO), given)


def hold(speed: float, time: float) -> Step:
    return step(Doing.HOLD, speed=speed, time=time)


def sweep(low: float, high: float, rung: float, each: float, times: int = 1) -> Step:
    total = 2 * (high - low) / rung * each * times
    return step(Doing.SWEEP, from_=low, to=high, step=rung, each=each, times=times, time=total)


def phase(*steps: Step, name: str = "first-heat", evidence: bool = True, ceilings=()) -> Phase:
    wanted = {"hold_time": limit("1 min", Kind.DURATION)} if evidence else {}
    top = {k: limit(t, kind) for k, t, kind in ceilings}
    return Phase(name, name, "in the bay", (), steps, top, wanted, ("engine_speed",), (), (), True)


def terms(*steps: Step, **more) -> Terms:
    judging = {k: limit(t, kind) for k, (t, kind) in JUDGING.items()}
    return Terms(phase(*steps, **more), judging)


@dataclass
class Played:
    """A recording as a list of speeds kept for so many seconds, at a rate in Hz."""

    rate: float = 10.0
    speeds: list[float] = field(default_factory=list)
    at: dict[str, list[tuple[float, float]]] = field(default_factory=dict)

    def go(self, speed: float, seconds: float, name: str = "") -> "Played":
        """Keep a speed; `name` notes when, to be held against what is found."""
        start = len(self.speeds) / self.rate
        self.speeds += [speed] * round(seconds * self.rate)
        if name:
            self.at.setdefault(name, []).append((start, len(self.speeds) / self.rate))
        return self

    def ramp(self, low: float, high: float, seconds: float) -> "Played":
        n = round(seconds * self.rate)
        self.speeds += list(low + (high - low) * (np.arange(n) + 0.5) / n)
        return self

    def ladder(
        self, low: float, high: float, rung: float, each: float, times: int = 1, down: bool = False
    ) -> "Played":
        """Up and down so many times, from the bottom or from the top; its stays are noted."""
        up = list(np.arange(low, high + rung / 2, rung))
        if down:
            up = up[::-1]
        levels = (up + up[-2:0:-1]) * times + up[:1]
        for level in levels:
            self.go(level, each, "stay")
        return self

    def log(self, noise: float = 0.0, grain: float = 0.0, seed: int = 1, **channels) -> Log:
        """The recording; `noise` and `grain` (quantisation) in rpm, where the engine turns."""
        speed = np.array(self.speeds, dtype=float)
        shaken = speed + np.random.default_rng(seed).normal(0, noise, len(speed)) * (speed > 0)
        if grain:
            shaken = np.round(shaken / grain) * grain
        n = len(speed)
        values = {k: np.broadcast_to(np.asarray(v, float), n).copy() for k, v in channels.items()}
        return Log(
            Source("played.csv", "0" * 64, 0, n), np.arange(n) / self.rate,
            np.full(n, 1 / self.rate), {"engine_speed": shaken * RPM, **values},
        )  # fmt: skip


def started(rate: float = 10.0) -> Played:
    """Key on, two bursts of cranking, a first fire of 30 s, a look round, then running again."""
    return (
        Played(rate).go(0, 5, "key").go(200, 10, "burst").go(0, 60).go(200, 10, "burst").go(0, 60)
        .go(220, 2, "burst").go(1000, 30, "run").go(0, 120).go(220, 2, "burst")
    )  # fmt: skip
