"""Lambda by load, as a table under the verdict's line."""

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.fuelling.lambda_values import Wanted, lambda_of
from witnessmark.checks.seen import cell, load_limit, load_width, span_cell, steps
from witnessmark.checks.terms import seconds
from witnessmark.model.finding import Tabled
from witnessmark.model.log import Floats
from witnessmark.model.said import Said
from witnessmark.units import Quantity


def mixture_table(case: Case, values: Floats, right: Wanted | None) -> Tabled | None:
    """By load: time, mean, leanest half second, and what was wanted."""
    if case.load is None:
        return None
    step, width = case.terms["lean_time"], load_width(case)
    parts = steps(case, case.running & ~np.isnan(values) & ~np.isnan(case.load.values), step)
    mixture, load = parts.means(values), parts.means(case.load.values)
    aim = None if right is None else parts.means(right.asked)
    good = np.flatnonzero(~np.isnan(mixture) & ~np.isnan(load))
    bins = np.floor(load[good] / width + 1e-6).astype(np.int64)
    rows: list[tuple[Said, ...]] = []
    for number in np.unique(bins):
        here = good[bins == number]
        if len(here) * step < case.terms["cell_time"]:
            continue
        low, high = (Quantity(float(edge * width), case.load.kind) for edge in (number, number + 1))
        mean, most = (lambda_of(float(f(mixture[here]))) for f in (np.mean, np.max))
        row = (span_cell(low, high), cell(seconds(len(here) * step)), cell(mean), cell(most))
        rows.append(row if aim is None else (*row, _aim(case, high, aim[here])))
    heads = ("Load", "Time", "Mean", "Leanest")
    return Tabled(heads if aim is None else (*heads, "Wanted"), tuple(rows)) if rows else None


def _aim(case: Case, high: Quantity, aim: Floats) -> Said:
    """What was wanted in a row up to so much load; nothing off load, or where it is not known."""
    known = aim[~np.isnan(aim)]
    if not len(known) or high.value <= load_limit(case):
        return Said("")
    return cell(lambda_of(float(known.mean())))
