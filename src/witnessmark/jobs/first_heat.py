"""Find the phases of a first heat in a whole recording and judge them against the plan."""

from dataclasses import dataclass, replace

from witnessmark.checks.first_heat.find import find_heat
from witnessmark.checks.first_heat.judge import Swapped, judge_steps, out_of_order
from witnessmark.checks.first_heat.lines import (
    fire_speed,
    interruptions,
    start_lines,
    starter_budget,
    too_slow,
)
from witnessmark.checks.first_heat.sheet import Sheet
from witnessmark.checks.terms import Terms
from witnessmark.errors import UserError
from witnessmark.jobs.review import CHANNELS, Review, review
from witnessmark.model.finding import Verdict
from witnessmark.model.first_heat import Found, Interruption, StepFound
from witnessmark.model.log import Log
from witnessmark.model.plan import Limit, Phase, RunPlan

HEAT = "first-heat"
_PHASES = ("prime", "first-fire", HEAT)

__all__ = ["CHANNELS", "HEAT", "FirstHeat", "first_heat"]


@dataclass(frozen=True)
class FirstHeat:
    """A recording beside the plan: what was found, each step, and the verdict.

    `review` : the verdict's plan, phase and log, its findings those of the first heat and of the
               start before it.
    """

    review: Review
    phases: tuple[Phase, ...]
    found: Found
    steps: tuple[StepFound, ...]
    interruptions: tuple[Interruption, ...]
    swapped: tuple[Swapped, ...]


def first_heat(plan: RunPlan, log: Log) -> FirstHeat:
    """Every phase from the prime to the first heat in one recording.

    Raises UserError when the plan has no first heat in the bay, or as `review` does.
    """
    if all(phase.id != HEAT for phase in plan.phases):
        judged = ", ".join(phase.id for phase in plan.phases if phase.reviewed)
        raise UserError(
            "plan", "it has no first heat in the bay", "a plan with a phase 'first-heat'",
            f"Judge the log by another phase with 'witnessmark review': {judged}",
        )  # fmt: skip
    reviewed = review(plan, HEAT, log)
    phases = tuple(phase for phase in plan.phases if phase.id in _PHASES)
    terms = Terms(reviewed.phase, plan.limits, plan.band, plan.no_band)
    found = find_heat(log, terms)
    sheet = Sheet(log, terms, found, phases, _number_of(plan, "proof"))
    steps = judge_steps(sheet)
    slow = next((a.line.numbers for a in plan.aborts if a.id == "flat-tappet-slow"), None)
    findings = (
        *reviewed.verdict.findings, *start_lines(steps),
        *starter_budget(found, _number_of(plan, "budget")), *fire_speed(sheet),
        *too_slow(sheet, slow),
    )  # fmt: skip
    verdict = Verdict(HEAT, findings, log.source)
    return FirstHeat(
        replace(reviewed, verdict=verdict), phases, found, steps, interruptions(sheet, findings),
        tuple(out_of_order(steps)),
    )  # fmt: skip


def _number_of(plan: RunPlan, name: str) -> Limit | None:
    """A number the plan's words on priming give, None if they give none."""
    return next((line.numbers[name] for line in plan.prime if name in line.numbers), None)
