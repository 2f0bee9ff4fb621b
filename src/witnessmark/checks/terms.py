"""What one log is judged by: the phase's ceilings and evidence, and the numbers behind them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from witnessmark.model.expected_pressure import PressureTable
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Log, Mask
from witnessmark.model.plan import EngineFacts, Limit, Phase
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity


@dataclass(frozen=True)
class Terms:
    """A phase with the judging numbers of its plan; every number has an owner.

    `band`: the oil pressure of this engine, None where none can be foretold and `no_band` why.
    """

    phase: Phase
    limits: Mapping[str, Limit]
    band: PressureTable | None = None
    no_band: str = ""
    facts: EngineFacts = field(default_factory=EngineFacts)

    def __getitem__(self, name: str) -> float:
        """A judging number in SI."""
        return self.limits[name].value.value

    def needs(self, *channels: str) -> bool:
        """Whether the phase cannot be judged without one of these channels."""
        return any(channel in self.phase.needs for channel in channels)


def running(log: Log, terms: Terms) -> Mask:
    """Where the engine turns by itself."""
    return log["engine_speed"] > terms["running_speed"]


def fraction(value: float) -> Quantity:
    """A share as a quantity."""
    return Quantity(value, Kind.FRACTION)


def count(value: float) -> Quantity:
    """A number of things as a quantity."""
    return Quantity(float(value), Kind.COUNT)


def seconds(value: float) -> Quantity:
    """A duration as a quantity."""
    return Quantity(float(value), Kind.DURATION)


def revolutions(value: float) -> Quantity:
    """An engine speed in rev/s as a quantity."""
    return Quantity(float(value), Kind.ROTATIONAL_SPEED)


def gauge(value: float) -> Quantity:
    """A gauge pressure in Pa as a quantity."""
    return Quantity(float(value), Kind.PRESSURE)


def enough(
    check: str, title: str, wanted: Limit, found: float, said: Said, do_next: Said,
    events: tuple[Event, ...] = (),
) -> Finding:  # fmt: skip
    """Kept when at least as much was found as the phase wants, else too little."""
    enough = found >= wanted.value.value
    return Finding(
        check, title, Answer.KEPT if enough else Answer.TOO_LITTLE, said, True, wanted.authority,
        events, None if enough else do_next,
    )  # fmt: skip
