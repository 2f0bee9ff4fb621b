"""Hold an engine's later logs against its first: what of its oil system changed."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.errors import UserError
from witnessmark.jobs.calibrate import book_hash, calibrated
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.lubrication.calibration.readings import Readings, readings
from witnessmark.lubrication.calibration.terms import FitTerms, fit_terms
from witnessmark.lubrication.drift.compare import Compared, Fill, compare
from witnessmark.lubrication.drift.fills import (
    fuel_for,
    fuelled,
    new_fill,
    other_grade,
    same_fill,
)
from witnessmark.lubrication.drift.judge import TITLES, judge
from witnessmark.lubrication.drift.reference import (
    Reference,
    from_cloud,
    from_logs,
    quick_reference,
)
from witnessmark.lubrication.drift.terms import DriftTerms, drift_terms
from witnessmark.lubrication.oil_of_build import oil_of_build
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.lubrication.system import OilSystem
from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration
from witnessmark.model.drift import Drift, LogDrift, ThinnerOil
from witnessmark.model.log import Log
from witnessmark.model.lubrication_book import FuelInOil, LubricationBook, si
from witnessmark.units import Kind, Quantity

_LOUD = 2.0  # scatter over what was expected from which it is said
_MOST_FUEL = 0.25  # share; more is no engine oil any longer


@dataclass(frozen=True)
class OilSaid:
    """What the user says of the oil in a log: from here on a new fill, of another grade if one
    is named; fuel in it by mass, 0 if nothing is said. [-]
    """

    new: bool = False
    grade: str = ""
    fuel: float = 0.0


def watch(
    sheet: BuildSheet, logs: Sequence[Log], learned: Calibration | None = None,
    oils: Mapping[str, OilSaid] | None = None,
    progress: Callable[[float], None] = lambda share: None,
) -> Drift:  # fmt: skip
    """Hold logs against the reference, one after the other.

    Parameters
    ----------
    sheet : The build.
    logs : Logs of this engine, oldest first; without a calibration the first is the reference.
    learned : A calibration of this engine. The logs it was made of may be among `logs`; then what
        both miss alike cancels, and ranges are narrower.
    oils : What is said of the oil, by the log's name.
    progress : Told the share done, 0 to 1.

    Returns
    -------
    Drift.

    Raises UserError for logs without the three channels or with too little in them, for too few
    logs, for a calibration of another build, for an oil or a share of fuel that cannot be.
    """
    book = lubrication_book()
    fit, terms = fit_terms(book.fit), drift_terms(book.drift)
    known = {log.sha256 for log in (each.source for each in learned.logs)} if learned else set()
    seen = {log.source.sha256: readings(log, fit) for log in logs}
    old = [each for sha256, each in seen.items() if sha256 in known]
    if learned is None:
        old = list(seen.values())[:1]
    later = [each for each in seen.values() if each not in old]
    if not later:
        raise _too_few(learned)
    fills = _fills(sheet, later, oils or {}, book, terms)
    reference = _reference(sheet, old, learned, book, fit)
    progress(0.2)
    found = []
    for number, (log, (fill, said)) in enumerate(zip(later, fills, strict=True), 1):
        compared = compare(reference, log, fill, fit, terms)
        found.append(_log_drift(sheet, log, said, compared, (reference, fill), book))
        progress(0.2 + 0.8 * number / len(later))
    return Drift(
        sheet.identity.serial, sheet.sha256, book_hash(), _named(old, learned),
        _values(reference, book), terms.false_alarms, terms.power, tuple(found),
    )  # fmt: skip
