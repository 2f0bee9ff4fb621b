"""What the engine did when: stopped, idling, driving, under load."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from witnessmark.checks.case import Case
from witnessmark.checks.coarse import Coarse
from witnessmark.model.log import Floats


class Did(IntEnum):
    """What an engine does."""

    OFF = 0
    IDLING = 1  # or standing with the throttle open
    DRIVING = 2
    LOADED = 3


@dataclass(frozen=True)
class Doings:
    """`did` from each of `time` on, for `held` seconds. Shape (m,)."""

    time: Floats
    held: Floats
    did: NDArray[np.int8]


def doings(case: Case) -> Doings:
    """What the engine did at each sample; a very long log in fewer samples."""
    coarse = Coarse(len(case.log.time))
    did = np.zeros(len(case.log.time), dtype=np.int8)
    did[case.running] = Did.IDLING
    did[case.moving] = Did.DRIVING
    if case.worked is not None:
        did[case.worked & case.moving] = Did.LOADED
    return Doings(coarse.first(case.log.time), coarse.total(case.log.held), did[:: coarse.each])
