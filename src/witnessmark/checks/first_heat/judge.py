"""Each step of the plan up to the first heat: done, partly, not done, not shown."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from witnessmark.checks.first_heat.judge_start import (
    judge_crank,
    judge_fire,
    judge_rest,
    judge_stop,
)
from witnessmark.checks.first_heat.judge_work import judge_hold, judge_sweep
from witnessmark.checks.first_heat.sheet import Sheet
from witnessmark.model.first_heat import Done, StepFound
from witnessmark.model.plan import Doing
from witnessmark.model.said import Said

_JUDGES = {
    Doing.CRANK: judge_crank,
    Doing.REST: judge_rest,
    Doing.FIRE: judge_fire,
    Doing.STOP: judge_stop,
    Doing.HOLD: judge_hold,
    Doing.SWEEP: judge_sweep,
}
# Begun in the order of the plan; rests and stops follow from these.
_IN_ORDER = (Doing.CRANK, Doing.FIRE, Doing.HOLD, Doing.SWEEP)


def judge_steps(sheet: Sheet) -> tuple[StepFound, ...]:
    """The steps of the phases, in the order of the plan."""
    return tuple(
        _JUDGES[step.doing](sheet, phase, place)
        if step.doing in _JUDGES
        else StepFound(phase, step, Done.NOT_SHOWN, Said("Load is not looked for here."), None, ())
        for phase in sheet.phases
        for place, step in enumerate(phase.steps)
    )


@dataclass(frozen=True)
class Swapped:
    """Two steps in the wrong order: the `later` of the plan came before the `sooner`."""

    sooner: StepFound
    later: StepFound


def out_of_order(steps: tuple[StepFound, ...]) -> Iterator[Swapped]:
    """Neighbours of the plan that were done the other way round, by the middle of each."""
    begun = [s for s in steps if s.spans and s.step.doing in _IN_ORDER]
    for sooner, later in pairwise(begun):
        if _middle(later) < _middle(sooner):
            yield Swapped(sooner, later)


def _middle(found: StepFound) -> float:
    """When half of its time was done; a first step begun and taken up again counts so."""
    half = sum(span.length for span in found.spans) / 2
    for span in found.spans:
        if half <= span.length:
            return span.start + half
        half -= span.length
    return found.spans[-1].end
