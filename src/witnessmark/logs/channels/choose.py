"""Several columns for one channel: the better, the first of twins, the highest, or none."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from witnessmark.logs.channels.measure import Measured
from witnessmark.logs.channels.naming import take_apart
from witnessmark.logs.channels.plausible import Examined
from witnessmark.logs.channels.recognise import Claim
from witnessmark.model.channel import How
from witnessmark.model.log import Floats
from witnessmark.units import Kind

# Twins may differ by this share of what they span: two converters, two poll times.
_TWINS_DIFFER = 0.05
_FEWER_READINGS = 0.5  # so few readings beside its rival's make a column the worse one

Candidate = tuple[Measured, Examined]


def choose(rivals: Sequence[Candidate]) -> tuple[list[Candidate], list[Claim]]:
    """Those of one channel that are used (several only for the hottest), and the others' claims."""
    if len(rivals) == 1:
        return list(rivals), []
    told = [r for r in rivals if r[0].claim.how is How.TOLD]
    if len(told) == 1:
        return told, [_lost(r, told[0]) for r in rivals if r is not told[0]]
    many = rivals[0][0].entry.many
    if many == "highest" and not told:
        return _all_count(rivals, "hottest" if _hot(rivals) else "highest"), []
    if many == "leanest" and not told:
        return _by_bank(rivals)
    return _best(rivals)


def _best(rivals: Sequence[Candidate]) -> tuple[list[Candidate], list[Claim]]:
    if len(rivals) == 1:
        return list(rivals), []
    best = min(rivals, key=_worth)
    others = [r for r in rivals if r is not best]
    equals = [r for r in others if _worth(r) == _worth(best)]
    if all(_agree(best[1].values, r[1].values) for r in equals):
        return [best], [_lost(r, best) for r in others]
    return [], [
        _unclear(r, [x for x in (best, *equals) if x is not r]) for r in (best, *equals)
    ] + [_lost(r, best) for r in others if r not in equals]


def _worth(rival: Candidate) -> tuple[float, bool, bool]:
    """Smaller is better: the name, then a unit of its own, then readings at all."""
    measured, seen = rival
    claim = measured.claim
    return claim.rank, claim.how is How.ASSUMED_UNIT, seen.count == 0


def _agree(first: Floats, second: Floats) -> bool:
    both = np.isfinite(first) & np.isfinite(second)
    if first.shape != second.shape or not both.any():
        # Polled in turn: they never meet in one row, so their whole runs are compared.
        a, b = first[np.isfinite(first)], second[np.isfinite(second)]
        if not a.size or not b.size:
            return True
        bounds = np.percentile(a, [5, 50, 95]) - np.percentile(b, [5, 50, 95])
        return bool(
            np.abs(bounds).max() <= _TWINS_DIFFER * max(np.ptp(a), np.ptp(b), abs(a.mean()))
        )
    a, b = first[both], second[both]
    span = max(float(np.ptp(a)), float(np.ptp(b)), 0.01 * abs(float(a.mean())))
    return float(np.median(np.abs(a - b))) <= _TWINS_DIFFER * span


def _lost(rival: Candidate, winner: Candidate) -> Claim:
    name = winner[0].claim.column.name
    same = "shows the same; " if _agree(rival[1].values, winner[1].values) else ""
    title = rival[0].entry.channel.title.lower()
    return rival[0].claim.aside(f"{same}'{name}' is used for the {title}")


def _unclear(rival: Candidate, others: Sequence[Candidate]) -> Claim:
    claim, entry = rival[0].claim, rival[0].entry
    names = " and ".join(f"'{other[0].claim.column.name}'" for other in others)
    return claim.aside(
        f"claims the {entry.channel.title.lower()}, so does {names}, but they differ; say which",
        claim.unit,
    )


def _hot(rivals: Sequence[Candidate]) -> bool:
    return rivals[0][0].entry.channel.kind is Kind.TEMPERATURE


def _by_bank(rivals: Sequence[Candidate]) -> tuple[list[Candidate], list[Claim]]:
    """The best column of each bank; of several banks the leanest counts at each moment."""
    banks: dict[frozenset[str], list[Candidate]] = {}
    for rival in rivals:
        column = rival[0].claim.column
        words = take_apart(column.name, column.unit).words
        banks.setdefault(rival[0].entry.banks.intersection(words), []).append(rival)
    chosen = [_best(group) for group in banks.values()]
    used = [one for kept, _ in chosen for one in kept]
    lost = [claim for _, claims in chosen for claim in claims]
    return (_all_count(used, "leanest") if len(used) > 1 else used), lost


def _all_count(rivals: Sequence[Candidate], which: str) -> list[Candidate]:
    used = []
    for measured, seen in rivals:
        why = f"one of {len(rivals)}: the {which} of them counts at each moment"
        claim = measured.claim
        claim = replace(claim, why=f"{claim.why}; {why}" if claim.why else why)
        used.append((replace(measured, claim=claim), seen))
    return used
