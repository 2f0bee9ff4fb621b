"""A calibration file, made by hand: no log stands behind it."""

import json
from pathlib import Path

import numpy as np

from witnessmark.jobs.build import load_build
from witnessmark.jobs.calibrate import freeze_calibration
from witnessmark.jobs.lubrication_book import lubrication_hash
from witnessmark.lubrication.system import PARAMETERS
from witnessmark.model.calibration import Calibration, Learned
from witnessmark.model.log import Source

HERON = Path(__file__).parents[2] / "demo" / "heron.toml"


def calibration(folder, serial="TS-0417", build=None):
    """A calibration as 'witnessmark calibrate' writes it: every parameter a little over, sure."""
    cloud = 0.2 + 0.05 * np.random.default_rng(1).standard_normal((200, len(PARAMETERS)))
    learned = Calibration(
        serial, build or load_build(HERON).sha256, lubrication_hash(),
        (Learned(Source("first heat.csv", "0" * 64, 1, 1), 600.0, 15.0, 60.0, 300.0, 370.0),),
        (), 0.0, 0.0, 3e3, tuple(cloud.mean(axis=0)), tuple(map(tuple, cloud.tolist())), None, (),
    )  # fmt: skip
    path = folder / "calibration.json"
    path.write_text(json.dumps(freeze_calibration(learned)))
    return path
