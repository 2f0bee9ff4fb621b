"""An engine whose logs are known: its calibration, ready for a band."""

from pathlib import Path

import numpy as np

from witnessmark.jobs.band import Known
from witnessmark.jobs.calibrate import calibrated, load_calibration, prior_for
from witnessmark.jobs.lubrication_book import lubrication_book
from witnessmark.lubrication.band import Scatter
from witnessmark.lubrication.calibration.terms import fit_terms
from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration


def known_engine(sheet: BuildSheet, path: Path) -> Known:
    """What a calibration file has taught about the engine of a build sheet.

    Raises UserError if the file cannot be read, was changed, or belongs to another build.
    """
    return known_from(sheet, load_calibration(path))


def known_from(sheet: BuildSheet, learned: Calibration) -> Known:
    """What a calibration has taught about the engine of a build sheet.

    A single reading misses even the best fit: by as much as the logs' own did, and never less
    than senders and circuits do. Raises UserError if it belongs to another build.
    """
    calibrated(sheet, learned)  # refuses another build's
    terms = fit_terms(lubrication_book().fit)
    count = len(learned.logs)
    basis = f"calibrated on {count} {'log' if count == 1 else 'logs'} of this engine"
    scatter = Scatter(
        max(learned.miss, terms.sender_noise), terms.model_error, learned.lag, learned.soak
    )
    return Known(prior_for(sheet), np.array(learned.cloud), basis, scatter)
