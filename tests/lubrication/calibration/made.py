"""Readings a known oil system would give, so that a fit can be held against the truth."""

import numpy as np

from tests.lubrication.builds import HERON_SHEET
