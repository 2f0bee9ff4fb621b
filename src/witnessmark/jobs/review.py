"""Judge one drive log against one phase of a plan."""

from dataclasses import dataclass

from witnessmark.checks.load_map import LoadMap
from witnessmark.model.finding import Verdict
from witnessmark.model.log import Log
from witnessmark.model.plan import Phase, RunPlan


@dataclass(frozen=True)
class Review:
    """A verdict with what it was reached on: plan, phase, log and load map."""

    plan: RunPlan
    phase: Phase
    log: Log
    verdict: Verdict
    load_map: LoadMap | None  # None when the log shows no engine speed or no load
