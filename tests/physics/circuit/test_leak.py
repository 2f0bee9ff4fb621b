import math

import numpy as np
from numpy.testing import assert_allclose

from witnessmark.physics.circuit.leak import Leak, feed_head, leak_flow


def test_head_is_that_of_oil_turning_with_the_crank():
    # Exact: Δp = ρ ω² (r2² - r1²) / 2. By hand at 6000 rpm, 850 kg/m³, 30 to 60 mm: 453 kPa.
    head = feed_head(0.060, 0.030)
    pressure = head * 850 * 100.0**2
    assert_allclose(pressure, 850 * (2 * math.pi * 100) ** 2 * (0.060**2 - 0.030**2) / 2)
    assert_allclose(pressure, 453e3, rtol=1e-3)


def test_a_land_of_a_concentric_bearing():
    # Exact annulus: Q = π D c³ Δp / (12 µ l), so κ = π D c³ / (12 l).
    conductance = math.pi * 0.05 * 30e-6**3 / (12 * 0.008)
    flow = leak_flow(Leak(conductance), 4e5, 0.0, 0.010, 850.0)
    assert_allclose(flow, math.pi * 0.05 * 30e-6**3 * 4e5 / (12 * 0.010 * 0.008))


def test_no_oil_runs_back_where_the_crank_holds_it():
    held = Leak(1e-12, feed_head(0.02, 0.03))
    # 84 kPa by the formula above.
    assert leak_flow(held, 80e3, 100.0, 0.01, 850.0) == 0
    assert leak_flow(held, 90e3, 100.0, 0.01, 850.0) > 0
    assert_allclose(leak_flow(Leak(1e-12), np.array([0.0, 1.0]), 0.0, 0.01, 850.0), [0, 1e-10])
