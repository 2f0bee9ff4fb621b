"""How much of a planned sweep was done, in numbers."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.first_heat.sweep import Ladder
from witnessmark.model.first_heat import Stay, Sweep


@dataclass(frozen=True)
class SweepCount:
    """A sweep in numbers. Speeds in rev/s, times in s; NaN where there is nothing to tell.

    `short`, `long` : steps off the planned time by more than is allowed, of `steps` in all.
    """

    passes: int  # once up or once down, from end to end
    parts: int  # passes that stopped half-way
    wanted: int
    seconds: float
    height: float  # of a typical step
    each: float  # time of a typical step
    steps: int
    short: int
    long: int
    ramp: bool


def count_sweep(sweeps: Sequence[Sweep], ladder: Ladder, tolerance: float) -> SweepCount:
    """What the sweeps of one step add up to. `tolerance`: share of the planned time. [-]"""
    passes = [one for sweep in sweeps for one in sweep.passes]
    heights = [height for one in passes for height in one.heights]
    # The first and the last stay run into what lies before and after them.
    times = np.array([stay.seconds for sweep in sweeps for stay in _inner(sweep)])
    ramp = bool(sweeps) and all(sweep.ramp for sweep in sweeps)
    off = times - ladder.stay
    slack = tolerance * ladder.stay + 1e-6
    return SweepCount(
        passes=sum(one.whole for one in passes),
        parts=sum(not one.whole for one in passes),
        wanted=2 * round(ladder.rounds),
        seconds=sum(sweep.seconds for sweep in sweeps),
        height=float(np.median(heights)) if heights else float("nan"),
        each=float(np.median(times)) if len(times) else float("nan"),
        steps=len(times),
        short=0 if ramp else int((off < -slack).sum()),
        long=0 if ramp else int((off > slack).sum()),
        ramp=ramp,
    )


def _inner(sweep: Sweep) -> tuple[Stay, ...]:
    return sweep.stays[1:-1]
