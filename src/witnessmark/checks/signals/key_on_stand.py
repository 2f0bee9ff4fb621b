"""Where a log shows the engine at rest before its first start, key on."""

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.model.log import Span


def standing(case: Case) -> Span | None:
    """The last stretch of a standing engine before the log's first start; None without one.

    With the key just on some sensors still wake up, so the end of the stretch counts.
    """
    if not case.starts:
        return None
    fired = case.log.at(case.starts[0]).start
    speed = case.log["engine_speed"][:fired]
    still = np.zeros(len(case.log.time), dtype=bool)
    still[:fired] = speed <= case.terms["still_speed"]
    running = np.flatnonzero(case.running[:fired])
    if len(running):  # it ran before: what it shows is no rest
        return None
    spans = case.log.spans(still, at_least=case.terms["key_on_time"])
    return spans[-1] if spans else None
