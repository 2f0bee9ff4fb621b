"""What columns say of each other once all are read: a unit misread in one is so in its like."""

from collections.abc import Sequence

import numpy as np

from witnessmark.logs.channels import refuse
from witnessmark.logs.channels.choose import Candidate
from witnessmark.logs.channels.moves import unrelated
from witnessmark.logs.channels.recognise import Claim
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.channel import How
from witnessmark.model.log import Floats
from witnessmark.units import Kind, known_unit

Parted = tuple[list[Candidate], list[Claim]]  # those that stay, and claims set aside


def fractions(good: Sequence[Candidate]) -> Parted:
    """Parts a share of 0 to 1 under a percent sign from the rest, where the engine was revved."""
    most = max((c[1].high for c in good if _is(c, "engine_speed")), default=0.0)
    stay: list[Candidate] = []
    aside: list[Claim] = []
    for candidate in good:
        measured, seen = candidate
        small = measured.entry.channel.kind is Kind.FRACTION and refuse.unit_doubt(candidate)
        if small and seen.high > seen.low and most >= vocabulary().moves.revved:
            unit = measured.entry.units[-1]
            said = (
                f"named in {measured.taken}, but never over "
                f"{refuse.shown_value(measured, seen.high)} while the engine was revved; if it "
                "runs from 0 to 1"
            )
            aside.append(measured.claim.aside(said, unit))
        else:
            stay.append(candidate)
    return stay, aside


def temperatures(good: Sequence[Candidate], false: Sequence[Candidate]) -> Parted:
    """Parts temperatures whose sibling proves that the unit they all name is wrong."""
    wrong = {}
    for candidate in false:
        measured, _ = candidate
        fitting = refuse.other_units(candidate)
        if measured.entry.channel.kind is Kind.TEMPERATURE and len(fitting) == 1:
            unit = known_unit(measured.taken)
            wrong[unit] = (measured.claim.column.name, fitting[0])
    stay: list[Candidate] = []
    aside: list[Claim] = []
    for candidate in good:
        measured, _ = candidate
        claim = measured.claim
        sibling = wrong.get(known_unit(measured.taken))
        like = measured.entry.channel.kind is Kind.TEMPERATURE and claim.how is not How.TOLD
        if like and sibling is not None and refuse.makes_sense_in(candidate, sibling[1]):
            said = f"names {measured.taken}, as '{sibling[0]}' does, which can only be {sibling[1]}"
            aside.append(claim.aside(f"{said}; if this one is too", sibling[1]))
        else:
            stay.append(candidate)
    return stay, aside


def gears(time: Floats, good: Sequence[Candidate]) -> Parted:
    """Parts a road speed that has nothing to do with the engine's."""
    engine = next((c for c in good if _is(c, "engine_speed")), None)
    stay: list[Candidate] = []
    aside: list[Claim] = []
    for candidate in good:
        moved = None
        if engine is not None and _is(candidate, "road_speed"):
            moved = unrelated(time, engine[0].values, candidate[0].values)
        if moved is None or candidate[0].claim.how is How.TOLD:
            stay.append(candidate)
        else:
            aside.append(refuse.unrelated_claim(candidate[0].claim, moved))
    return stay, aside


def _is(candidate: Candidate, channel: str) -> bool:
    return candidate[0].entry.channel.name == channel and bool(np.isfinite(candidate[1].high))
