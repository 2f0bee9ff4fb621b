"""From numbers to words: changed, not changed, cannot tell."""

import math
from statistics import NormalDist

import numpy as np

from witnessmark.lubrication.drift.compare import Compared
from witnessmark.lubrication.drift.terms import FOLLOWED, DriftTerms
from witnessmark.model.drift import Change, Moved

TITLES = {
    "leak": "bearing leakage",
    "relief_opening": "relief opening pressure",
    "relief_gradient": "relief gradient",
}
_BELL = NormalDist()
_ENDS = _BELL.inv_cdf(0.95)
_NODES, _NODE_WEIGHTS = np.polynomial.hermite_e.hermegauss(9)
_NODE_WEIGHTS = _NODE_WEIGHTS / _NODE_WEIGHTS.sum()


def judge(found: Compared, terms: DriftTerms) -> tuple[Change, ...]:
    """The verdict on each of FOLLOWED.

    Parameters
    ----------
    found : The log against its reference.
    terms : What is asked before a word is said.

    Returns
    -------
    'changed' when the log stands further from no change than a sound log in so many does, and
    its own range leaves no change out;
    'not changed' when it does not, and a change worth knowing would have; else 'cannot tell'.
    """
    return tuple(_change(found, terms, i) for i in range(len(FOLLOWED)))


def _change(found: Compared, terms: DriftTerms, i: int) -> Change:
    name, limit, worth = FOLLOWED[i], terms.limits[i], terms.worth[i]
    change, sd, sure = (float(each[i]) for each in (found.change, found.sd, found.sure))
    seen = _seen(math.log1p(worth), sd, limit, found.leak_sd if name == "leak" else 0.0)
    moved = Moved.CANNOT_TELL
    if abs(sure) >= limit and abs(change) >= _ENDS * sd:
        moved = Moved.CHANGED
    elif seen >= terms.power:
        moved = Moved.SAME
    low, high = (math.expm1(change + end * sd) for end in (-_ENDS, _ENDS))
    least = math.expm1((limit + _BELL.inv_cdf(terms.power)) * sd)
    return Change(
        name, TITLES[name], moved, math.expm1(change), low, high, sure, limit, worth, seen, least
    )


def _seen(step: float, sd: float, limit: float, size_sd: float) -> float:
    """How surely a change of the logarithm by `step` is seen.

    What a change does to the gauge goes with how large the part is, which is itself known only
    to `size_sd`: the chance is the mean over that.
    """
    sizes = np.exp(size_sd * _NODES)
    return float(sum(weight * _BELL.cdf(float(size) * step / sd - limit)
                     for size, weight in zip(sizes, _NODE_WEIGHTS, strict=True)))  # fmt: skip
