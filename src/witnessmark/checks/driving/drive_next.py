"""The speeds and loads still missing, said as what to drive next."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.driving.coverage import Coverage
from witnessmark.checks.driving.gears import NAMES, Gears
from witnessmark.checks.driving.load import Load
from witnessmark.checks.terms import Terms, count, revolutions
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity

MOST_SAID = 3  # more than a driver keeps in mind
_WIDE = 2  # cells of speed that are said together

# Of the load a phase allows, from the least asked for: how it is called, how it is driven.
_LEVELS = (
    (0.30, "light load", "easy driving on the level"),
    (0.55, "half load", "steady part throttle, slightly uphill"),
    (0.80, "three quarter load", "a longer hill"),
    (1.00, "nearly the full load allowed", "a steady pull, uphill"),
)  # fmt: skip


@dataclass(frozen=True)
class Gap:
    """Neighbouring missing cells of one load: `first` to `last` cell of speed, `row` of load."""

    first: int
    last: int
    row: int
    lacking: float  # s
    weight: float  # work seats rings, so it counts double

    @property
    def worth(self) -> float:
        """How much is gained by driving it. [s]"""
        return self.lacking * self.weight


def drive_next(
    cover: Coverage, terms: Terms, load: Load, gears: Gears, opening: str
) -> Said | None:
    """The most useful missing stretches after an opening; None when all is covered."""
    chosen = _best(list(_gaps(cover, terms, load)))
    if not chosen:
        return None
    sentences = []
    values: dict[str, Quantity | str] = {"missing": count(int(cover.missing.sum()))}
    for n, gap in enumerate(chosen, 1):
        text, more = _sentence(gap, cover, load, terms, gears, f"g{n}_")
        sentences.append(f"({n}) {text}" if len(chosen) > 1 else text)
        values |= more
    return Said(opening + "; ".join(sentences) + ".", values)


def _gaps(cover: Coverage, terms: Terms, load: Load) -> Iterator[Gap]:
    """Missing cells by load, neighbours in speed together."""
    named = {"manifold_pressure": "work_pressure", "engine_load": "load_fraction"}
    work = terms[named.get(load.channel, "load_pedal")]
    lacking = np.where(cover.missing, np.maximum(cover.counted - cover.seconds, 0.0), 0.0)
    for row in range(cover.missing.shape[1]):
        weight = 2.0 if cover.load_edges[row] >= work * (1 - 1e-6) else 1.0
        first = 0
        while first < len(cover.missing):
            if not cover.missing[first, row]:
                first += 1
                continue
            last, most = first, min(first + _WIDE, len(cover.missing))
            while last + 1 < most and cover.missing[last + 1, row]:
                last += 1
            yield Gap(first, last, row, float(lacking[first : last + 1, row].sum()), weight)
            first = last + 1


def _best(gaps: list[Gap]) -> list[Gap]:
    """The most useful, no two side by side: one hill fills both. Each load is asked for in turn."""
    chosen: list[Gap] = []
    left = gaps
    while left and len(chosen) < MOST_SAID:
        same = Counter(gap.row for gap in chosen)
        best = max(left, key=lambda g: (g.worth / (1 + 2 * same[g.row]), g.row, -g.first))
        chosen.append(best)
        left = [gap for gap in left if not _beside(gap, best)]
    return sorted(chosen, key=lambda g: (g.first, g.row))


def _beside(one: Gap, other: Gap) -> bool:
    overlap = one.first <= other.last and other.first <= one.last
    return abs(one.row - other.row) <= 1 and overlap


def _sentence(
    gap: Gap, cover: Coverage, load: Load, terms: Terms, gears: Gears, slot: str
) -> tuple[str, dict[str, Quantity | str]]:
    slow = max(float(cover.speed_edges[gap.first]), terms["idle_top"])
    fast = min(float(cover.speed_edges[gap.last + 1]), cover.fastest)
    light = max(float(cover.load_edges[gap.row]), cover.low)
    heavy = min(float(cover.load_edges[gap.row + 1]), cover.top)
    share = ((light + heavy) / 2 - cover.low) / (cover.top - cover.low)
    _, name, how = next(level for level in _LEVELS if share <= level[0] + 1e-9)
    text, values = _in_gear((slow + fast) / 2, gears, terms)
    numbers: dict[str, Quantity | str] = {
        "slow": revolutions(slow), "fast": revolutions(fast),
        "light": Quantity(light, load.kind), "heavy": Quantity(heavy, load.kind), **values,
    }  # fmt: skip
    between = "{light} to {heavy}"
    boost = terms.phase.ceilings.get("boost")
    if gap.row == cover.missing.shape[1] - 1 and load.channel == "manifold_pressure":
        # The upper end in whole units may round to more than is allowed: the ceiling is named.
        between = "{light} or more"
        if boost is not None:
            numbers["boost"] = boost.value
            between += ", never over the boost ceiling of {boost}"
    said = f"{{slow}} to {{fast}} at {name} ({between}): {how}{text}"
    return said.replace("{", "{" + slot), {slot + name: value for name, value in numbers.items()}


def _in_gear(speed: float, gears: Gears, terms: Terms) -> tuple[str, Values]:
    """ " in third, about {road}": the highest gear that keeps the car under a fair road speed."""
    # Where the log contradicts the sheet's gearing, the log's own gears are spoken of.
    known = terms.facts.gears if not gears.used or gears.used[0].name else ()
    turns = known or tuple(used.turns for used in gears.used)
    if not turns:
        return " in a middle gear", {}
    fair = [n for n, t in enumerate(turns) if speed / t <= terms["suggest_road"]]
    number = max(fair, default=0)
    values: dict[str, Quantity | str] = {"road": Quantity(speed / turns[number], Kind.ROAD_SPEED)}
    if known:
        return f" in {NAMES[number]}, about {{road}}", values
    return " in the gear that gives about {road}", values
