"""Hold an engine's later logs against its first: what of its oil system changed."""

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from witnessmark.errors import UserError
from witnessmark.jobs.calibrate import calibrated
from witnessmark.jobs.lubrication_book import lubrication_book, lubrication_hash
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
    beside,
    from_cloud,
    quick_reference,
    seen,
    spells,
)
from witnessmark.lubrication.drift.terms import DriftTerms, drift_terms
from witnessmark.lubrication.oil_of_build import oil_of_build
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration
from witnessmark.model.drift import Drift, LogDrift, OilSaid, ThinnerOil
from witnessmark.model.log import Log
from witnessmark.model.lubrication_book import FuelInOil, LubricationBook, si
from witnessmark.units import Kind, Quantity

_LOUD = 2.0  # scatter over what was expected from which it is said
_ELSEWHERE = 0.1  # share of a log that was set aside, from which it is said
_MOST_FUEL = 0.25  # share; more is no engine oil any longer


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
    known = {each.source.sha256 for each in (learned.logs if learned else ())}
    every = {log.source.sha256: readings(log, fit) for log in logs}
    if learned is None:
        known = set(list(every)[:1])
    old = [each for sha256, each in every.items() if sha256 in known]
    later = [each for sha256, each in every.items() if sha256 not in known]
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
        sheet.identity.serial, sheet.sha256, lubrication_hash(), _named(old, learned),
        _values(reference, book), terms.false_alarms, terms.power, tuple(found),
    )  # fmt: skip


def _too_few(learned: Calibration | None) -> UserError:
    if learned is not None:
        return UserError(
            "drift", "every log given is one the calibration was made of",
            "at least one later log is wanted", "Add a later log",
        )  # fmt: skip
    return UserError(
        "drift", "one log and no calibration", "a log to hold against the first one is wanted",
        "Add a later log, or give a calibration: --calibration FILE",
    )  # fmt: skip


def _reference(
    sheet: BuildSheet, old: list[Readings], learned: Calibration | None, book: LubricationBook,
    fit: FitTerms,
) -> Reference:  # fmt: skip
    prior = prior_of_build(sheet, book).prior
    if learned is None:
        return quick_reference(prior, tuple(old), fit)
    calibrated(sheet, learned)  # refuses another build's
    best, cloud = np.array(learned.best), np.array(learned.cloud)
    if learned.readings:
        return beside(prior, seen(learned.readings), best, learned.lag)
    if len(old) == len(learned.logs):
        own = spells(tuple(old), learned.lag, fit)
        return beside(prior, own, best, learned.lag)
    return from_cloud(prior, best, cloud, learned.lag, learned.span)


def _named(old: list[Readings], learned: Calibration | None) -> str:
    if learned is None:
        return f"the first log, {old[0].source.name}"
    names = ", ".join(log.source.name for log in learned.logs)
    if len(old) == len(learned.logs):
        return f"the calibration, with its own {names}"
    return f"the calibration made of {names}"


def _values(reference: Reference, book: LubricationBook) -> tuple[tuple[str, Quantity], ...]:
    """The followed parts at the reference, in units a person can measure."""
    prior = reference.prior
    circuit = prior.system.vary(prior.by(reference.best)).circuit
    flow = si(book.unmeasured.pressure) / si(book.unmeasured.viscosity)
    leak = float(sum(np.asarray(leak.conductance) for leak in circuit.leaks)) * flow
    return (
        (TITLES["leak"], Quantity(leak, Kind.VOLUME_FLOW)),
        (TITLES["relief_opening"], Quantity(float(circuit.relief_opening), Kind.PRESSURE)),
        (TITLES["relief_gradient"], Quantity(float(circuit.relief_gradient),
                                             Kind.PRESSURE_PER_FLOW)),
    )  # fmt: skip


def _fills(
    sheet: BuildSheet, later: Sequence[Readings], oils: Mapping[str, OilSaid],
    book: LubricationBook, terms: DriftTerms,
) -> list[tuple[Fill, str]]:  # fmt: skip
    """What each log's oil is, and in words; a new fill stays in for the logs after it."""
    names = [log.source.name for log in later]
    strange = [name for name in oils if name not in names]
    if strange:
        raise UserError(
            "--fuel, --new-oil", f"'{strange[0]}' is none of the later logs",
            "one of " + ", ".join(names), "Write the log's name as it is given",
        )  # fmt: skip
    found, kept = [], OilSaid()
    for name in names:
        said = oils.get(name, OilSaid())
        kept = OilSaid(kept.new or said.new, said.grade if said.new else kept.grade)
        found.append(_fill(sheet, kept, said.fuel, book, terms))
    return found


def _fill(
    sheet: BuildSheet, kept: OilSaid, share: float, book: LubricationBook, terms: DriftTerms
) -> tuple[Fill, str]:
    before = oil_of_build(sheet, book)
    fill, said = same_fill(terms), "the same fill"
    if kept.grade:
        fresh = {"kv40": None, "kv100": None, "hths": None, "density": None}
        oil = sheet.oil.model_copy(update={"grade": kept.grade, **fresh})
        fill = other_grade(before, oil_of_build(sheet.model_copy(update={"oil": oil}), book))
        said = f"a new fill of {kept.grade}"
    elif kept.new:
        fill, said = new_fill(terms), "a new fill of the same oil"
    if not share:
        return fill, said
    if not 0 < share <= _MOST_FUEL:
        raise UserError(
            "--fuel", f"{share:.0%} of fuel", f"a share up to {_MOST_FUEL:.0%} is wanted",
            "Give the share a laboratory found: --fuel LOG=3%",
        )  # fmt: skip
    thinned = fuelled(fill.oil or before.oil, share, _fuel(sheet, book), terms)
    spread = math.hypot(thinned.sd, fill.sd)
    return Fill(spread, thinned.oil), f"{said}, {share * 100:g} % fuel in it"


def _fuel(sheet: BuildSheet, book: LubricationBook) -> FuelInOil:
    fuels = book.drift.fuel
    return fuels["diesel" if sheet.fuel.kind == "diesel" else "petrol"]


def _log_drift(
    sheet: BuildSheet, log: Readings, said: str, found: Compared,
    held: tuple[Reference, Fill], book: LubricationBook,
) -> LogDrift:  # fmt: skip
    reference, fill = held
    terms = drift_terms(book.drift)
    oil = fill.oil or reference.prior.system.oil
    odds = found.thinner.odds
    thinner = ThinnerOil(
        math.expm1(found.thinner.change), fuel_for(oil, found.thinner.change, _fuel(sheet, book)),
        odds, not 1 / terms.apart < odds < terms.apart,
    )  # fmt: skip
    return LogDrift(
        log.source, log.seconds, said, judge(found, terms), thinner, found.scatter,
        tuple(_notes(reference, found)),
    )  # fmt: skip


def _notes(reference: Reference, found: Compared) -> list[str]:
    notes = []
    if found.scatter > _LOUD:
        notes.append(
            f"The readings scatter {found.scatter:.0f} times as much as expected: look at the "
            "sender and its plug."
        )
    if reference.spells is None:
        notes.append(
            "The log of the calibration was not given, so what the circuit misses in both logs "
            "does not cancel: ranges are wider. Give it before the later logs."
        )
    aside = 1 - found.like
    if aside > _ELSEWHERE:
        notes.append(
            f"{100 * aside:.0f} % of this log was set aside: it was at speeds or oil temperatures "
            "the reference never saw."
        )
    return notes
