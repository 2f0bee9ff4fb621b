"""Values of our own formulas, kept so that a change is seen. They prove nothing about truth.

The D341 anchors and the blending table were worked out apart, with D341's short form, before this
code was written; remake them with `oil_from_data(...).kinematic` and `dilution.RULES`.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from witnessmark.physics.oil.dilution import RULES
from witnessmark.physics.oil.oil import oil_from_data

AT = np.array([0, 20, 60, 80, 90, 120, 150]) + 273.15


@pytest.mark.parametrize(
    ("sheet", "line", "anchors"),
    [
        ((32, 5.4), (9.53082, 3.74658), (336.0, 86.28, 15.19, 8.533, 6.704, 3.724, 2.392)),
        ((61.7, 10.9), (7.69506, 2.98145), (498.3, 152.6, 30.39, 17.27, 13.56, 7.447, 4.691)),
        ((80, 14.0), (7.26732, 2.79955), (623.9, 196.0, 39.43, 22.31, 17.48, 9.499, 5.921)),
        ((110, 14.5), (8.11114, 3.12556), (1358.9, 324.7, 47.66, 24.65, 18.65, 9.390, 5.577)),
    ],
)
def test_anchors(sheet, line, anchors):
    oil = oil_from_data(sheet[0] * 1e-6, sheet[1] * 1e-6, 860.0)
    assert_allclose((oil.walther_a, oil.walther_b), line, atol=1e-5)
    assert_allclose(oil.kinematic(AT) * 1e6, anchors, rtol=5e-4)  # four figures; short form


@pytest.mark.parametrize(
    ("share", "oil", "fuel", "blends"),
    [
        (0.02, 10.9, 0.45, (10.48, 10.23, 9.63, 9.63)),
        (0.05, 10.9, 0.45, (9.87, 9.29, 8.06, 8.06)),
        (0.10, 10.9, 0.45, (8.90, 7.93, 6.12, 6.14)),
        (0.05, 61.7, 0.60, (54.7, 48.9, 37.6, 37.1)),
    ],
)
def test_blends(share, oil, fuel, blends):
    ours = [rule(oil * 1e-6, fuel * 1e-6, share) * 1e6 for rule in RULES.values()]
    assert_allclose(ours, blends, rtol=1e-3)  # three figures
