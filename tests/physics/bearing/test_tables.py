"""The stored tables are what `make_tables` makes: a few entries, made again."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from witnessmark.physics.bearing.axes import (
    MOBILITY_RATIOS,
    STEADY_RATIOS,
    TABLES,
    crowded_angle,
    eccentricity_axis,
    true_angle,
)
from witnessmark.physics.bearing.make_tables import (
    MOBILITY_NODES,
    STEADY_NODES,
    film_row,
    mobility_row,
)


@pytest.mark.parametrize(("row", "node"), [(3, 10), (7, 40), (10, 76), (-1, 25)])
def test_steady_table_is_fresh(row, node):
    with np.load(TABLES / "steady.npz") as stored:
        rows = stored["rows"]
    ratios = (*STEADY_RATIOS, np.inf)
    assert rows.shape == (len(ratios), STEADY_NODES, 7)
    e = -np.expm1(-eccentricity_axis(STEADY_NODES)[node])
    # Rounding of another machine's linear algebra, no more.
    assert_allclose(rows[row, node], film_row(float(e), ratios[row]), rtol=1e-6)


@pytest.mark.parametrize(("row", "node"), [(5, 15)])
def test_mobility_table_is_fresh(row, node):
    with np.load(TABLES / "mobility.npz") as stored:
        rows = stored["rows"]
    assert rows.shape[:2] == (len(MOBILITY_RATIOS), MOBILITY_NODES)
    e = -np.expm1(-eccentricity_axis(MOBILITY_NODES)[node])
    # Stored in single precision.
    assert_allclose(rows[row, node], mobility_row(float(e), MOBILITY_RATIOS[row]), atol=1e-5)


def test_stretched_angle_goes_there_and_back():
    angle = np.linspace(0, np.pi, 50)
    for e in (0.0, 0.5, 0.999):
        assert_allclose(true_angle(crowded_angle(angle, e), e), angle, atol=1e-9)
