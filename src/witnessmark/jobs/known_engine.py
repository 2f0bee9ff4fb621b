"""An engine whose logs are known: its calibration, ready for a band."""

from pathlib import Path

import numpy as np

from witnessmark.jobs.band import Known
from witnessmark.jobs.calibrate import calibrated, load_calibration, prior_for
from witnessmark.model.build import BuildSheet


def known_engine(sheet: BuildSheet, path: Path) -> Known:
    """What a calibration file has taught about the engine of a build sheet.

    Raises UserError if the file cannot be read, was changed, or belongs to another build.
    """
    learned = load_calibration(path)
    calibrated(sheet, learned)  # refuses another build's
    count = len(learned.logs)
    basis = f"calibrated on {count} {'log' if count == 1 else 'logs'}"
    return Known(prior_for(sheet), np.array(learned.cloud), basis)
