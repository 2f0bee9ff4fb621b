"""How long oil pressure takes to come after a start."""

import numpy as np

from witnessmark.checks.terms import Terms
from witnessmark.model.log import Log, Span

PRESSURE = "oil_pressure"


def wait_for_pressure(log: Log, terms: Terms, span: Span) -> float | None:
    """Seconds from a start to the idle floor, the whole stretch if it never comes.

    None when the gauge was silent for longer than the delay and then read enough: how soon
    pressure came is not known.
    """
    part = log.at(span)
    since, pressure = log.time[part] - span.start, log[PRESSURE][part]
    there = np.flatnonzero(pressure >= terms["floor_idle"])
    wait = float(since[there[0]]) if len(there) else span.length
    silent = bool(np.isnan(pressure[: there[0]] if len(there) else pressure).all())
    return None if silent and wait > terms["floor_delay"] else wait
