"""Learn one engine's oil pressure from its own logs, and keep what was learned in a file."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import TypeAdapter, ValidationError

from witnessmark.errors import UserError
from witnessmark.jobs.lubrication_book import lubrication_book, lubrication_hash
from witnessmark.jobs.sealed import Seal
from witnessmark.lubrication.calibration.estimates import Reference, estimates
from witnessmark.lubrication.calibration.fit import Fit, fit
from witnessmark.lubrication.calibration.foretell import foretell
from witnessmark.lubrication.calibration.readings import NEEDS, Readings, readings
from witnessmark.lubrication.calibration.terms import FitTerms, fit_terms
from witnessmark.lubrication.drift.reference import kept
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.lubrication.system import OilSystem
from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration, Learned
from witnessmark.model.log import Log
from witnessmark.model.lubrication_book import si

CHANNELS = NEEDS
SEAL = Seal(
    "witnessmark calibration 1", "calibration", "a calibration",
    "Make it again from the build sheet and the logs",
)  # fmt: skip
_CALIBRATION = TypeAdapter(Calibration)
_DIGITS = 3  # of a standard deviation; more would only make the file longer
_UNSETTLED = 0.25  # of the cloud's own spread: halves further apart have not settled


def calibrate(
    sheet: BuildSheet, logs: Sequence[Log], hold_out: float = 0.0,
    progress: Callable[[float], None] = lambda share: None,
) -> Calibration:  # fmt: skip
    """Fit the oil system of a build to its logs.

    Parameters
    ----------
    sheet : The build; its numbers are where the fit starts and what it is held to.
    logs : Logs of this engine on one fill of oil, oldest first.
    hold_out : Share of the last log's usable readings kept back and foretold, 0 to below 1. [-]
    progress : Told the share done, 0 to 1.

    Raises UserError for a log without the three channels or with too little in it, and for a
    share that leaves nothing to learn from.
    """
    if not 0 <= hold_out < 1:
        raise UserError(
            "--hold-out", f"{hold_out:.0%}", "a share from 0 % to under 100 % is wanted",
            "Keep back half: --hold-out 50%",
        )  # fmt: skip
    book = lubrication_book()
    terms = fit_terms(book.fit)
    prior = prior_of_build(sheet, book).prior
    seen = [readings(log, terms) for log in logs]
    kept_back = None
    if hold_out:
        seen[-1], kept_back = seen[-1].halves(1 - hold_out)
    found = fit(prior, tuple(seen), terms, progress=progress)
    foretold = foretell(found, seen[-1], kept_back, terms.sender_noise) if kept_back else None
    at = Reference(si(book.unmeasured.pressure), si(book.unmeasured.viscosity))
    return Calibration(
        serial=sheet.identity.serial, build_sha256=sheet.sha256, book_sha256=lubrication_hash(),
        logs=tuple(_learned(log) for log in seen), estimates=estimates(found, at),
        lag=found.lag, soak=found.soak, miss=found.rms, best=tuple(found.best.tolist()),
        cloud=tuple(tuple(row) for row in np.round(found.cloud, _DIGITS).tolist()),
        foretold=foretold, notes=tuple(_notes(found, terms)),
        readings=kept(tuple(seen), found.lag, terms),
    )  # fmt: skip


def prior_for(sheet: BuildSheet) -> Prior:
    """What a build says of its oil system. Raises UserError as prior_of_build does."""
    return prior_of_build(sheet, lubrication_book()).prior


def calibrated(sheet: BuildSheet, learned: Calibration) -> tuple[OilSystem, OilSystem]:
    """Best fit and cloud of a calibration, as oil systems.

    Returns
    -------
    Best: plain numbers. Cloud: numbers of shape (m, 1, 1), to broadcast over speeds and
    temperatures.

    Raises UserError when the build sheet or our own numbers have changed since.
    """
    if learned.build_sha256 != sheet.sha256 or learned.book_sha256 != lubrication_hash():
        changed = "build sheet" if learned.build_sha256 != sheet.sha256 else "book of numbers"
        raise UserError(
            "calibration", f"it was made with another {changed}",
            f"the {changed} it was made with (engine {learned.serial}) is wanted",
            "Calibrate again from the build sheet and the logs",
        )  # fmt: skip
    prior = prior_for(sheet)
    best, cloud = np.array(learned.best), np.array(learned.cloud)[:, None, None, :]
    return prior.system.vary(prior.by(best)), prior.system.vary(prior.by(cloud))


def freeze_calibration(learned: Calibration) -> dict[str, Any]:
    """A calibration as JSON values with its own hash. Numbers in SI."""
    return SEAL.closed(_CALIBRATION.dump_python(learned, mode="json"))


def parse_calibration(text: str, where: str) -> Calibration:
    """The calibration in a file's text. Raises UserError if it is none or was changed."""
    return _whole(SEAL.parsed(text, where), where)


def load_calibration(path: Path) -> Calibration:
    """The calibration in a file. Raises UserError also if it cannot be read."""
    return _whole(SEAL.loaded(path, "a calibration (.json)"), path.name)


def _whole(body: Any, where: str) -> Calibration:
    try:
        return _CALIBRATION.validate_python(body)
    except ValidationError as error:
        raise SEAL.not_whole(where, f"{error.error_count()} places") from None


def _learned(log: Readings) -> Learned:
    at = log.usable
    speed, temperature = log.speed[at], log.temperature[at]
    return Learned(
        log.source, log.seconds, float(speed.min()), float(speed.max()),
        float(temperature.min()), float(temperature.max()),
    )  # fmt: skip


def _notes(found: Fit, terms: FitTerms) -> list[str]:
    notes = []
    agree = sum(cost < found.tried[0] + 0.5 for cost in found.tried)
    if agree < 2:
        notes.append(
            f"Only 1 of {len(found.tried)} starting points reached the best fit: "
            "another may exist that none of them found."
        )
    if found.settled > _UNSETTLED:
        notes.append("The ranges have not quite settled; take them as rough.")
    if found.lag >= terms.slowest_sender:
        notes.append("The sender follows as slowly as any that was tried: look at it.")
    return notes
