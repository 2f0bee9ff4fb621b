"""Our own numbers, kept so that a change is noticed; they prove nothing.

Remake: python -c "from witnessmark.physics.circuit.orifice import discharge_coefficient as cd;
print([[round(float(cd(re, x)), 3) for re in (50, 100, 500, 1000, 5000, 20000)] for x in (2, 4)])"
"""

import pytest
from numpy.testing import assert_allclose

from witnessmark.physics.circuit.orifice import discharge_coefficient

REYNOLDS = (50, 100, 500, 1000, 5000, 20000)
LONG_ORIFICE = {
    2.0: (0.291, 0.428, 0.688, 0.745, 0.802, 0.809),
    4.0: (0.190, 0.307, 0.603, 0.686, 0.779, 0.791),
}


@pytest.mark.parametrize("ratio", LONG_ORIFICE)
def test_discharge_of_a_long_orifice(ratio):
    assert_allclose(discharge_coefficient(REYNOLDS, ratio), LONG_ORIFICE[ratio], atol=6e-4)
