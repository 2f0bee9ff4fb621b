"""One log against the reference: what changed, how surely, with all that may differ by itself."""

from dataclasses import dataclass, replace

import numpy as np

from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.drift.joint import MOVING, Found, Joint, TooLittleAlikeError
from witnessmark.lubrication.drift.reference import Reference
from witnessmark.lubrication.drift.terms import FOLLOWED, DriftTerms
from witnessmark.model.log import Floats
from witnessmark.physics.oil.oil import Oil

_OIL = MOVING.index("viscosity")
_ANY_OIL = 0.5  # spread of ln viscosity when a thinner oil alone is to explain the log
_AGAIN, _STUCK = 3, 0.1  # tries; deviance by which holding still may fit better by rounding
_SURE = 50.0  # odds are not followed beyond e to this


@dataclass(frozen=True)
class Fill:
    """The oil in a log: other than the reference's if `oil` is given; spread of ln viscosity."""

    sd: float
    oil: Oil | None = None


@dataclass(frozen=True)
class Thinner:
    """Change of ln viscosity that would explain the log in place of leakage, and how well.

    odds: how many times likelier the log is under changed leakage than under this. [-]
    """

    change: float
    sd: float
    odds: float


@dataclass(frozen=True)
class Compared:
    """Changes from the reference to a log.

    change, sd (3,): of the logarithm of each of FOLLOWED; sure (3,): standard errors by which
    the log speaks against no change, signed as the change; leak_sd: how surely the leakage
    itself is known, sd of its logarithm; scatter: of the readings, over what was expected; like:
    share of the log run as the reference ran at some time, which alone is compared [-].
    """

    change: Floats
    sd: Floats
    sure: Floats
    leak_sd: float
    scatter: float
    thinner: Thinner
    like: float


def compare(
    reference: Reference, log: Readings, fill: Fill, fit: FitTerms, terms: DriftTerms
) -> Compared:
    """What of leakage and relief valve changed between the reference and a log.

    Parameters
    ----------
    reference : The engine as it was.
    log : Readings of the same engine, later.
    fill : What is known of the oil in it.
    fit, terms : How closely the circuit is believed, and what may differ by itself.

    Returns
    -------
    Compared.

    Limits: misses of the circuit are smooth over speed and oil temperature and are the same in
    both logs but for `between_logs`.

    Source: Bayesian regression with a discrepancy that both logs share, after Kennedy and O'Hagan,
    J. R. Statist. Soc. B 63 (2001) 425; `sure` is the signed root of the deviance (Barndorff-
    Nielsen, Biometrika 73 (1986) 307); both from memory. See docs/explanation/calibration.md.
    """
    spread = np.array([
        terms.open, terms.open, terms.open, fill.sd, terms.film_rise, terms.sender_offset,
    ])  # fmt: skip
    prior = reference.prior
    if fill.oil is not None:
        prior = replace(prior, system=replace(prior.system, oil=fill.oil))
    try:
        joint = Joint(reference, log, prior, spread, fit, terms)
    except TooLittleAlikeError:
        return _nothing(spread)
    found, still = _both(joint, spread)
    sure = [_sure(found, each, i) for i, each in enumerate(still)]
    followed = slice(len(FOLLOWED))
    return Compared(
        found.change[followed], found.sd[followed], np.array(sure), found.leak_sd, joint.scatter,
        _thinner(joint, spread, found), joint.like,
    )  # fmt: skip


def _nothing(spread: Floats) -> Compared:
    """What a log tells that has nothing in common with its reference."""
    none = np.zeros(len(FOLLOWED))
    open_ = spread[: len(FOLLOWED)]
    return Compared(none, open_, none, 0.0, 1.0, Thinner(0.0, _ANY_OIL, 1.0), 0.0)


def _both(joint: Joint, spread: Floats) -> tuple[Found, list[Found]]:
    """The best with everything free, and with each of FOLLOWED held.

    Holding something can only fit worse: where it fits better, the free fit had stuck.
    """
    found = joint.solve(spread)
    for _ in range(_AGAIN):
        still = [joint.solve(spread, i, found.place) for i in range(len(FOLLOWED))]
        best = min(still, key=lambda each: each.deviance)
        if best.deviance >= found.deviance - _STUCK:
            break
        found = joint.solve(spread, begin=best.place)
    return found, still


def _sure(found: Found, still: Found, i: int) -> float:
    return float(np.sign(found.change[i]) * np.sqrt(max(still.deviance - found.deviance, 0.0)))


def _thinner(joint: Joint, spread: Floats, found: Found) -> Thinner:
    any_oil = spread.copy()
    any_oil[_OIL] = np.hypot(spread[_OIL], _ANY_OIL)
    other = joint.solve(any_oil, FOLLOWED.index("leak"), found.place)
    likelier = np.clip((other.deviance - found.deviance) / 2, -_SURE, _SURE)
    return Thinner(float(other.change[_OIL]), float(other.sd[_OIL]), float(np.exp(likelier)))
