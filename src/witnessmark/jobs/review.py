"""Judge one drive log against one phase of a plan."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import chain

from witnessmark.checks import ceilings, oil_pressure, pulls, spells, warm_up, work
from witnessmark.checks.case import Case
from witnessmark.checks.load_map import LoadMap
from witnessmark.checks.terms import Terms
from witnessmark.errors import UserError
from witnessmark.model.finding import Finding, Verdict
from witnessmark.model.log import Log
from witnessmark.model.plan import Phase, RunPlan

Check = Callable[[Case], Iterator[Finding]]

CHECKS: tuple[Check, ...] = (
    ceilings.speed_ceiling,
    ceilings.boost_ceiling,
    ceilings.coolant_ceiling,
    ceilings.oil_ceiling,
    ceilings.oil_pressure_ceiling,
    oil_pressure.pressure_at_start,
    oil_pressure.pressure_floor,
    oil_pressure.pressure_top,
    warm_up.coolant_warm_before_load,
    warm_up.oil_warm_before_load,
    spells.steady_cruise,
    spells.idle_spell,
    spells.lugging,
    work.time_on_the_move,
    work.running_time,
    work.hold_time,
    pulls.load_pulls,
    pulls.overrun_pulls,
    work.load_variety,
    work.variety_by_the_minute,
    work.share_under_load,
)


# What the checks look at; the reader may leave the rest of a large log unread.
CHANNELS = (
    "engine_speed",
    "road_speed",
    "manifold_pressure",
    "barometric_pressure",
    "engine_load",
    "pedal_position",
    "throttle_position",
    "coolant_temperature",
    "oil_temperature",
    "oil_pressure",
)


_WORKERS = 2  # numpy lets go of the interpreter; checks share nothing but the case


@dataclass(frozen=True)
class Review:
    """A verdict with what it was reached on: plan, phase, log and load map."""

    plan: RunPlan
    phase: Phase
    log: Log
    verdict: Verdict
    load_map: LoadMap | None  # None when the log shows no load


def review(plan: RunPlan, phase: str, log: Log) -> Review:
    """Every check of one phase on one log.

    Raises UserError when the plan has no such phase, the phase is not judged by a log, or the
    log shows no engine speed or no running engine.
    """
    chosen = _phase(plan, phase)
    if "engine_speed" not in log:
        shown = ", ".join(log.channels) or "no channel we know"
        near = [f"'{c.name}': {c.why}" for c in log.columns if c.may_be == "engine_speed"]
        raise UserError(
            log.source.name, f"no engine speed (it shows {shown})",
            "a review needs engine speed",
            near[0] if near else "Name the column: --channel 'COLUMN=engine_speed:rpm'",
        )  # fmt: skip
    case = Case(log, Terms(chosen, plan.limits, plan.band, plan.no_band))
    if not case.running.any():
        raise UserError(
            log.source.name, "the engine never runs in this log",
            "a review needs a running engine", "Send a log of a drive",
        )  # fmt: skip
    with ThreadPoolExecutor(_WORKERS) as pool:
        found = pool.map(lambda check: tuple(check(case)), CHECKS)
        findings = tuple(chain.from_iterable(found))
    verdict = Verdict(chosen.id, findings, log.source)
    return Review(plan, chosen, log, verdict, case.load_map)


def _phase(plan: RunPlan, name: str) -> Phase:
    known = [phase.id for phase in plan.phases if phase.reviewed]
    if name not in known:
        raise UserError(
            "--phase", f"'{name}' is not a phase a log can be judged by",
            "one of " + ", ".join(known), "Pick one of these",
        )  # fmt: skip
    return plan.phase(name)
