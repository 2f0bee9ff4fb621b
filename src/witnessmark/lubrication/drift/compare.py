"""One log against the reference: what changed, how surely, with all that may differ by itself."""

from dataclasses import dataclass, replace

import numpy as np

from witnessmark.lubrication.calibration.readings import Readings
from witnessmark.lubrication.calibration.terms import FitTerms
from witnessmark.lubrication.drift.joint import MOVING, Found, Joint
from witnessmark.lubrication.drift.reference import Reference
from witnessmark.lubrication.drift.terms import FOLLOWED, DriftTerms
from witnessmark.model.log import Floats
from witnessmark.physics.oil.oil import Oil

_OIL = MOVING.index("viscosity")
_ANY_OIL = 0.5  # spread of ln viscosity when a thinner oil alone is to explain the log
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
    itself is known, sd of its logarithm; scatter: of the readings, over what was expected.
    """

    change: Floats
    sd: Floats
    sure: Floats
    leak_sd: float
    scatter: float
    thinner: Thinner | None


def compare(
    reference: Reference, log: Readings, fill: Fill, fit: FitTerms, terms: DriftTerms,
    thinner: bool = True,
) -> Compared:  # fmt: skip
    """What of leakage and relief valve changed between the reference and a log.

    Parameters
    ----------
    reference : The engine as it was.
    log : Readings of the same engine, later.
    fill : What is known of the oil in it.
    fit, terms : How closely the circuit is believed, and what may differ by itself.
    thinner : Whether to try a thinner oil in place of leakage.

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
    joint = Joint(reference, log, prior, spread, fit, terms)
    found = joint.solve(spread)
    sure = [_sure(found, joint.solve(spread, i, found.place), i) for i in range(len(FOLLOWED))]
    followed = slice(len(FOLLOWED))
    return Compared(
        found.change[followed], found.sd[followed], np.array(sure), found.leak_sd, joint.scatter,
        _thinner(joint, spread, found) if thinner else None,
    )  # fmt: skip


def _sure(found: Found, still: Found, i: int) -> float:
    return float(np.sign(found.change[i]) * np.sqrt(max(still.deviance - found.deviance, 0.0)))


def _thinner(joint: Joint, spread: Floats, found: Found) -> Thinner:
    any_oil = spread.copy()
    any_oil[_OIL] = np.hypot(spread[_OIL], _ANY_OIL)
    other = joint.solve(any_oil, FOLLOWED.index("leak"), found.place)
    likelier = np.clip((other.deviance - found.deviance) / 2, -_SURE, _SURE)
    return Thinner(float(other.change[_OIL]), float(other.sd[_OIL]), float(np.exp(likelier)))
