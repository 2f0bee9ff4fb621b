"""The standard atmosphere against its published table."""

import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from numpy.testing import assert_allclose

from witnessmark.physics.atmosphere import standard_pressure

# ISO 2533:1975, table 1, by geopotential height (m, kPa); as gathered in the team's check values.
ISO_2533 = [(0, 101.325), (500, 95.461), (1000, 89.875), (1500, 84.556), (2000, 79.495),
            (3000, 70.109)]  # fmt: skip


@pytest.mark.parametrize(("height", "published"), ISO_2533)
def test_pressure_against_the_table_of_iso_2533(height, published):
    # Five figures, so half of the last one.
    assert_allclose(standard_pressure(float(height)) / 1e3, published, atol=0.0006)


@pytest.mark.parametrize("height", [-300.0, 150.0, 1500.0, 3000.0, 4200.0])
def test_pressure_against_fluids(height):
    # fluids takes geometric height: at 4,200 m the two differ by 3 m, 0.04 % of the pressure.
    assert_allclose(standard_pressure(height), ATMOSPHERE_1976(height).P, rtol=5e-4)
