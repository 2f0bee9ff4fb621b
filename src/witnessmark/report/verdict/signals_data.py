"""Sensors and questions of a verdict as data."""

import math
from collections.abc import Callable
from typing import Any

from witnessmark.jobs.review import Review
from witnessmark.model.said import Said
from witnessmark.model.signal import Answered, Fault, Signal
from witnessmark.units import SI, Kind

# A step is a difference: it has no zero.
_STEP_UNIT = {Kind.TEMPERATURE: SI[Kind.TEMPERATURE_DIFFERENCE]}
Say = Callable[[Said], dict[str, Any]]


def questions_data(review: Review, say: Say) -> list[dict[str, Any]]:
    """Every question with its answer."""
    return [_question(answered, say) for answered in review.asked]


def sensors_data(review: Review, say: Say) -> list[dict[str, Any]]:
    """Every channel as an instrument."""
    return [_sensor(signal, say) for signal in review.signals.values()]


def _question(answered: Answered, say: Say) -> dict[str, Any]:
    return {
        "question": answered.id,
        "asks": answered.asks,
        "answered": answered.shown.value,
        "said": say(answered.said),
        "channels": list(answered.channels),
        "chance": answered.chance,
        "checks": list(answered.checks),
    }


def _sensor(signal: Signal, say: Say) -> dict[str, Any]:
    lag = signal.lag
    return {
        "channel": signal.channel,
        "readings": signal.readings,
        "interval": signal.interval,
        "longest_interval": signal.longest,
        "polled": signal.polled,
        "step": signal.step,
        "unit": _STEP_UNIT.get(signal.kind, SI[signal.kind]),
        "lag": None if lag is None else {
            "behind": lag.behind, "seconds": lag.seconds, "within": lag.within,
            "likeness": lag.likeness,
        },
        "faults": [_fault(fault, say) for fault in signal.faults],
    }  # fmt: skip


def _fault(fault: Fault, say: Say) -> dict[str, Any]:
    return {
        "flaw": fault.flaw.value,
        "end": fault.end or None,
        "level": fault.level if math.isfinite(fault.level) else None,
        "said": say(fault.said),
        "spans": [{"start": span.start, "end": span.end} for span in fault.spans],
    }
