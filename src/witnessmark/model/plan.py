"""The run-in plan of one engine: a recipe applied to a build sheet, then frozen."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from witnessmark.model.authority import Authority
from witnessmark.model.expected_pressure import PressureTable
from witnessmark.model.said import Said
from witnessmark.model.tuner_answer import Decision, TunerAnswer
from witnessmark.units import Preferences, Quantity


@dataclass(frozen=True)
class Limit:
    """A number somebody set: its value, the range others use, why, and who says so."""

    value: Quantity
    low: Quantity | None
    high: Quantity | None
    why: str
    authority: Authority


@dataclass(frozen=True)
class Line:
    """A sentence of the plan, why it stands there and who says so.

    `numbers` are the ones in the sentence that have an owner, a range and a reason of their own.
    """

    said: Said
    why: str
    authority: Authority
    numbers: Mapping[str, Limit] = field(default_factory=dict)


@dataclass(frozen=True)
class Inspection:
    """One thing to look at before cranking. A hard stop forbids going on."""

    id: str
    place: str  # "On the build sheet", "Clutch and thrust", "Oil", ...
    line: Line
    if_wrong: str
    hard_stop: bool
    by: str  # who does it: "builder", "technician"


class Doing(StrEnum):
    """What a timed step asks the engine to do."""

    CRANK = "crank"
    FIRE = "fire"
    HOLD = "hold"
    SWEEP = "sweep"
    REST = "rest"
    STOP = "stop"
    DRIVE = "drive"
    LOAD = "load"


@dataclass(frozen=True)
class Step:
    """A timed step. `numbers` holds speed, time, from, to, step, each, times, load as given."""

    doing: Doing
    line: Line
    numbers: dict[str, Limit]


@dataclass(frozen=True)
class Phase:
    """One gate-to-gate stretch of the run-in.

    `ceilings` by quantity: engine_speed, boost, coolant_temperature, oil_temperature, ...
    `evidence` by name: what a log must at least show (moving_time, overrun_pulls, ...).
    `needs`: channels without which the phase cannot be judged.
    """

    id: str
    title: str
    place: str  # "in the bay", "on the road", "on the dyno"
    gates: tuple[Line, ...]
    steps: tuple[Step, ...]
    ceilings: dict[str, Limit]
    evidence: dict[str, Limit]
    needs: tuple[str, ...]
    then: tuple[Line, ...]
    cautions: tuple[Line, ...]
    reviewed: bool  # whether a log of this phase can be judged
    film: Line | None = None  # the oil film at its ceilings: why they are where they are


@dataclass(frozen=True)
class Service:
    """Oil and filter at a distance, engine hours or days after first fire, whichever first."""

    title: str
    line: Line
    distance: Limit | None
    running_time: Limit | None
    calendar_time: Limit | None


@dataclass(frozen=True)
class Abort:
    """A reason to shut off, without discussion.

    `general`: where `line` was worked out for this engine, what the recipe says of any.
    """

    id: str
    line: Line
    then: str
    general: Line | None = None


@dataclass(frozen=True)
class Choice:
    """Which recipe, which school, and why; which others fitted and were set aside."""

    recipe: str
    title: str
    version: str
    sha256: str
    owner: str
    school: str
    school_why: str
    chosen_why: str
    set_aside: tuple[str, ...]


@dataclass(frozen=True)
class Assumption:
    """Something the build sheet does not say, and what was put in its place."""

    path: str  # "rod_bearings.clearances"
    said: Said
    why: str


@dataclass(frozen=True)
class EngineFacts:
    """What the checks have to know of the build beside the limits; "" or 0 where not said."""

    fuel: str = ""  # "petrol", "ethanol blend", "diesel"
    ethanol: float = 0.0  # share of the fuel, by volume [-]
    boosted: bool = False
    cylinders: int = 0
    gears: tuple[float, ...] = ()  # engine turns for each metre of road, from first up [1/m]


@dataclass(frozen=True)
class RunPlan:
    """Everything the technician needs for one engine, frozen with its hashes."""

    serial: str
    engine: str  # one line: "inline 5, 2,309 cm³, turbocharged"
    build_sha256: str
    choice: Choice
    fuel: tuple[Line, ...]
    oil: tuple[Line, ...]
    inspections: tuple[Inspection, ...]
    prime: tuple[Line, ...]
    aborts: tuple[Abort, ...]
    phases: tuple[Phase, ...]
    services: tuple[Service, ...]
    limits: dict[str, Limit]  # numbers the checks judge by (warm coolant, closed pedal, ...)
    band: PressureTable | None  # oil pressure this build should show
    no_band: str  # why there is none, so that the rule of thumb stands in; else ""
    prefer: Preferences  # the units this engine's people think in
    assumptions: tuple[Assumption, ...]
    cautions: tuple[Line, ...]
    later: tuple[str, ...] = ()  # numbers of `limits` the book learned after this was frozen
    redline: Limit | None = None  # the build sheet's own, which no answer may lift; None: not kept
    answers: tuple[TunerAnswer, ...] = ()  # of the tuner, oldest first
    facts: EngineFacts = EngineFacts()

    @property
    def stopped(self) -> TunerAnswer | None:
        """The answer that stopped this engine, None unless the last one did."""
        last = self.answers[-1] if self.answers else None
        return last if last is not None and last.decision is Decision.STOP else None

    def phase(self, name: str) -> Phase:
        """The phase of this id; KeyError names none, faces list the choices first."""
        return next(p for p in self.phases if p.id == name)
