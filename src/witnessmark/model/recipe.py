"""A recipe file: how one sort of engine is run in. Data only; a shop copies and edits it."""

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from witnessmark.model.faults import fault
from witnessmark.model.number import (
    DIESEL,
    FLAT_TAPPET,
    Count,
    Days,
    Distance,
    Entry,
    Gauge,
    Hours,
    Kinded,
    Number,
    Ratio,
    Saying,
    Share,
    Speed,
    Temperature,
    Time,
    When,
    Words,
)  # fmt: skip
from witnessmark.model.plan import Doing

School = Literal["gentle first", "load early"]
Place = Literal["in the bay", "on the road", "on the dyno"]
Id = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
# "load" stands for any of manifold_pressure, engine_load, pedal_position, throttle_position.
Channel = Literal[
    "engine_speed", "load", "manifold_pressure", "engine_load", "pedal_position",
    "throttle_position", "coolant_temperature", "oil_temperature", "oil_pressure", "road_speed",
    "lambda", "exhaust_temperature",
]  # fmt: skip


class Part(BaseModel):
    """A table of a recipe file: nothing unknown in it, nothing changed after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    def present(self) -> dict[str, Number]:
        """The numbers this table gives, by the name used in the file."""
        fields = type(self).model_fields
        found = ((f.alias or name, getattr(self, name)) for name, f in fields.items())
        return {name: number for name, number in found if isinstance(number, Number)}


class StepNumbers(Part):
    """What a timed step may give. `time` is the whole step, `each` one stay of a sweep."""

    speed: Speed | None = None
    time: Time | None = None
    from_: Speed | None = Field(None, alias="from")
    to: Speed | None = None
    step: Speed | None = None
    each: Time | None = None
    times: Count | None = None
    load: Share | None = None
    rest: Time | None = None


class Ceilings(Part):
    """What a phase may not exceed."""

    engine_speed: Speed | None = None
    boost: Gauge | None = None
    coolant_temperature: Temperature | None = None
    oil_temperature: Temperature | None = None
    oil_pressure: Gauge | None = None
    steady_cruise: Time | None = None
    idle_spell: Time | None = None
    lugging: Time | None = None


class Evidence(Part):
    """What a log of the phase must at least show."""

    moving_time: Time | None = None
    running_time: Time | None = None
    hold_time: Time | None = None
    pulls: Count | None = None
    overrun_pulls: Count | None = None
    load_cells: Count | None = None
    cells_per_minute: Ratio | None = None
    loaded_share: Share | None = None


SPEEDS = ("speed", "from", "to")  # step numbers that are engine speeds asked for

# A step without these cannot be done, or not be timed.
_NEEDS: dict[Doing, tuple[str, ...]] = {
    Doing.CRANK: ("time", "times"),
    Doing.FIRE: ("time",),
    Doing.HOLD: ("speed", "time"),
    Doing.SWEEP: ("from", "to", "step", "each", "times", "time"),
    Doing.REST: ("time",),
}


class StepFile(Entry):
    """A timed step. Steps that drive or load the engine say which school they belong to."""

    doing: Doing
    said: Words
    school: School | None = None
    numbers: StepNumbers = Field(default_factory=StepNumbers)


def _whole_step(step: StepFile) -> StepFile:
    given = step.numbers.present()
    missing = [name for name in _NEEDS.get(step.doing, ()) if name not in given]
    if missing:
        raise fault(
            f"a '{step.doing}' step without {', '.join(missing)}",
            f"it needs {', '.join(_NEEDS[step.doing])}", "Add the numbers",
        )  # fmt: skip
    if step.doing in (Doing.DRIVE, Doing.LOAD) and step.school is None:
        raise fault(
            f"a '{step.doing}' step that names no school",
            "a step that works the engine belongs to one school",
            'Add school = "gentle first" or school = "load early"',
        )  # fmt: skip
    if step.doing is Doing.SWEEP:
        _sweep_adds_up(given)
    return step


def _sweep_adds_up(given: dict[str, Number]) -> None:
    """Up and down, every stay counted: the time written must hold what the ladder takes."""
    bottom, top, rung, stay, rounds = (
        given[name].quantities()[0].value for name in ("from", "to", "step", "each", "times")
    )
    if rung <= 0 or top <= bottom:
        raise fault(
            "a sweep that does not go up", "'to' lies above 'from' and 'step' is above zero",
            "Correct the numbers",
        )  # fmt: skip
    takes = round(2 * (top - bottom) / rung * stay * rounds, 6)  # unit conversion leaves crumbs
    _, low, high = given["time"].quantities()
    if not round(low.value, 6) <= takes <= round(high.value, 6):
        raise fault(
            f"the ladder takes {takes / 60:.1f} min in all, the step says {given['time'].value}",
            "the range of time holds what the ladder takes", "Change time, each or times",
        )  # fmt: skip


class Need(Part):
    """A channel without which the phase cannot be judged."""

    channel: Channel
    when: When = Field(default_factory=dict)


class PhaseFile(Part):
    """One gate-to-gate stretch of the run-in, as written in a recipe."""

    id: Id
    title: Words
    place: Place
    reviewed: bool
    gates: tuple[Saying, ...] = ()
    steps: tuple[Annotated[StepFile, AfterValidator(_whole_step)], ...] = Field(min_length=1)
    ceilings: Ceilings = Field(default_factory=Ceilings)
    evidence: Evidence = Field(default_factory=Evidence)
    needs: tuple[Need, ...] = ()
    then: tuple[Saying, ...] = ()

    def numbers(self) -> dict[str, Number]:
        """Numbers any sentence of the phase may use as a slot."""
        return self.ceilings.present() | self.evidence.present()


def _under_its_ceiling(phase: PhaseFile) -> PhaseFile:
    ceiling = phase.ceilings.engine_speed
    if ceiling is None or ceiling.of:
        return phase  # a share of the redline is held against the steps when the plan is made
    top, _, _ = ceiling.quantities()
    over = [
        f"{step.doing} at {number.value}"
        for step in phase.steps
        for name, number in step.numbers.present().items()
        if name in SPEEDS and number.quantities()[0].value > top.value
    ]
    if over:
        raise fault(
            f"asks for {', '.join(over)}", f"the phase's own ceiling is {ceiling.value}",
            "Lower the step or raise the ceiling",
        )  # fmt: skip
    return phase


class ServiceFile(Saying):
    """Oil and filter: at a distance, engine hours or days after first fire, whichever first."""

    title: Words
    distance: Distance | None = None
    running_time: Hours | None = None
    calendar_time: Days | None = None

    def limits(self) -> dict[str, Number]:
        """The limits this service comes due by."""
        names = ("distance", "running_time", "calendar_time")
        found = ((name, getattr(self, name)) for name in names)
        return {name: number for name, number in found if number is not None}


class InspectionFile(Saying):
    """One thing to look at before cranking. A hard stop forbids going on."""

    id: Id
    place: Words
    if_wrong: Words
    hard_stop: bool
    by: Words


class AbortFile(Saying):
    """A reason to shut off, without discussion."""

    id: Id
    then: Words


class Applies(Part):
    """Which engines a recipe is for. The cam decides first, then the highest priority."""

    priority: int
    why: Words
    when: When


def _one_cam_one_fuel(applies: Applies) -> Applies:
    for trait, alone in (("use", ""), ("cam_contact", FLAT_TAPPET), ("fuel", DIESEL)):
        words = applies.when.get(trait)
        if words is None:
            raise fault(
                f"no word about {trait}", f"a recipe says which {trait} it is for",
                f"Add {trait} = [...]",
            )  # fmt: skip
        if alone in words and len(words) > 1:
            raise fault(
                f"{trait} has '{alone}' beside {', '.join(w for w in words if w != alone)}",
                f"one recipe cannot serve both: '{alone}' stands alone",
                "Make a recipe of its own for it",
            )  # fmt: skip
    return applies


class RecipeFile(Part):
    """A whole recipe as written, every number with its owner, source and reason."""

    id: Id
    title: Words
    version: Annotated[str, Field(min_length=1)]
    owner: Words
    school: School
    school_why: Words
    applies: Annotated[Applies, AfterValidator(_one_cam_one_fuel)]
    fuel: tuple[Saying, ...] = Field(min_length=1)
    oil: tuple[Saying, ...] = Field(min_length=1)
    prime: tuple[Saying, ...] = Field(min_length=1)
    phases: tuple[Annotated[PhaseFile, AfterValidator(_under_its_ceiling)], ...] = Field(
        min_length=1
    )
    services: tuple[ServiceFile, ...] = Field(min_length=1)
    inspections: tuple[InspectionFile, ...] = ()  # more of them, or another by the same id
    aborts: tuple[AbortFile, ...] = ()  # more of them, or another by the same id
    judging: dict[str, Kinded] = Field(default_factory=dict)  # in place of the shared number
