"""Judge one drive log against one phase of a plan."""

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import chain

from witnessmark.checks import ceilings, warm_up
from witnessmark.checks.case import Case
from witnessmark.checks.driving import pulls, spells, work
from witnessmark.checks.driving.coverage import Coverage
from witnessmark.checks.driving.doing import Doings, doings
from witnessmark.checks.driving.gears import Gears
from witnessmark.checks.driving.load_map import LoadMap
from witnessmark.checks.first_heat.judge_work import sweep_time
from witnessmark.checks.fuelling.crankcase import crankcase_pressure
from witnessmark.checks.fuelling.fuel_pressure import fuel_pressure
from witnessmark.checks.fuelling.injectors import injector_duty
from witnessmark.checks.fuelling.knock import knock_retard
from witnessmark.checks.fuelling.misfire import misfires
from witnessmark.checks.fuelling.mixture import mixture_by_load
from witnessmark.checks.fuelling.trims import fuel_trims
from witnessmark.checks.heat.charge_air import charge_temperature
from witnessmark.checks.heat.fan import cooling_fan
from witnessmark.checks.heat.window import temperature_window
from witnessmark.checks.pressure import corners, oil_pressure
from witnessmark.checks.pressure.pressure_map import PressureMap, pressure_map
from witnessmark.checks.signals.believe import believed, weighed
from witnessmark.checks.signals.key_on import at_key_on
from witnessmark.checks.signals.questions import answers
from witnessmark.checks.signals.truth import truth_of
from witnessmark.checks.supply import voltage
from witnessmark.checks.terms import Terms
from witnessmark.errors import UserError
from witnessmark.jobs.stopped import refuse_stopped
from witnessmark.model.finding import Finding, Verdict
from witnessmark.model.log import Log
from witnessmark.model.plan import Phase, RunPlan
from witnessmark.model.signal import Answered, Signal

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
    corners.dips_in_corners,
    warm_up.coolant_warm_before_load,
    warm_up.oil_warm_before_load,
    spells.steady_cruise,
    spells.idle_spell,
    spells.lugging,
    work.time_on_the_move,
    work.running_time,
    work.hold_time,
    sweep_time,
    pulls.load_pulls,
    pulls.overrun_pulls,
    work.load_variety,
    work.variety_by_the_minute,
    work.share_under_load,
    at_key_on,
    mixture_by_load,
    fuel_trims,
    knock_retard,
    misfires,
    injector_duty,
    fuel_pressure,
    crankcase_pressure,
    charge_temperature,
    temperature_window,
    cooling_fan,
    voltage,
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
    "acceleration_lateral",
    "acceleration_longitudinal",
    "lambda",
    "lambda_target",
    "fuel_cut",
    "fuel_trim_short",
    "fuel_trim_long",
    "knock_retard",
    "misfire_count",
    "injector_duty",
    "fuel_pressure",
    "crankcase_pressure",
    "intake_temperature",
    "ambient_temperature",
    "fan",
    "battery_voltage",
    "altitude",
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
    coverage: Coverage | None = None  # None when the phase asks for no variety
    gears: Gears | None = None
    pressure_map: PressureMap | None = None  # None when the log shows no oil pressure
    doings: Doings | None = None  # what the engine did when
    signals: Mapping[str, Signal] = field(default_factory=dict)  # what each channel is worth
    asked: tuple[Answered, ...] = ()  # which questions this log can answer


def review(plan: RunPlan, phase: str, log: Log) -> Review:
    """Every check of one phase on one log.

    Raises UserError when the plan has no such phase, the phase is not judged by a log, or the
    log shows no engine speed or no running engine.
    """
    refuse_stopped(plan)
    chosen = _phase(plan, phase)
    if "engine_speed" not in log:
        shown = ", ".join(log.channels) or "no channel we know"
        near = [f"'{c.name}': {c.why}" for c in log.columns if c.may_be == "engine_speed"]
        raise UserError(
            log.source.name, f"no engine speed (it shows {shown})",
            "a review needs engine speed",
            near[0] if near else "Name the column: --channel 'COLUMN=engine_speed:rpm'",
        )  # fmt: skip
    with ThreadPoolExecutor(_WORKERS) as pool:
        truth = truth_of(log, pool=pool)
    terms = Terms(chosen, plan.limits, plan.band, plan.no_band, plan.facts)
    case = Case(believed(log, truth), terms, truth)
    if not case.running.any():
        raise UserError(
            log.source.name, "the engine never runs in this log",
            "a review needs a running engine", "Send a log of a drive",
        )  # fmt: skip
    with ThreadPoolExecutor(_WORKERS) as pool:
        found = pool.map(lambda check: tuple(check(case)), CHECKS)
        pressures = pool.submit(pressure_map, case)
        asked = answers(case)
        findings = weighed(chain.from_iterable(found), asked)
    verdict = Verdict(chosen.id, findings, log.source)
    return Review(
        plan, chosen, log, verdict, case.load_map, case.coverage, case.gears, pressures.result(),
        doings(case), truth, asked,
    )  # fmt: skip


def _phase(plan: RunPlan, name: str) -> Phase:
    known = [phase.id for phase in plan.phases if phase.reviewed]
    if name not in known:
        raise UserError(
            "--phase", f"'{name}' is not a phase a log can be judged by",
            "one of " + ", ".join(known), "Pick one of these",
        )  # fmt: skip
    return plan.phase(name)
