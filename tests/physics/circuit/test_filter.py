import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.circuit.filter import element_flow, filter_loss, pressure_loss


def test_loss_is_a_viscous_and_a_quadratic_part():
    # Definition: 5e9 × 0.01 × 5e-4 + 1e8 × 800 × 25e-8 = 25 000 + 20 000 Pa by hand.
    assert_allclose(pressure_loss(5e-4, 0.01, 800.0, 5e9, 1e8), 45_000)


def test_bypass_takes_what_its_spring_lets_it():
    # By hand, viscous element: a µ = 1e9; opening 1 bar, gradient 1e8, 2e-4 m³/s:
    # 1e9 Qe = 1e5 + 1e8 (2e-4 - Qe), Qe = 1.2e5 / 1.1e9.
    through = element_flow(2e-4, 0.1, 850.0, 1e10, 0.0, 1e5, 1e8)
    assert_allclose(through, 1.2e5 / 1.1e9)
    assert_allclose(filter_loss(2e-4, 0.1, 850.0, 1e10, 0.0, 1e5, 1e8), 1e9 * 1.2e5 / 1.1e9)


def test_below_the_opening_all_oil_is_filtered():
    flow = np.linspace(0, 5e-4, 50)
    assert_allclose(element_flow(flow, 0.01, 850.0, 5e9, 1e8, 1e5, 2e8), flow, rtol=0)
    assert_allclose(element_flow(flow, 9.0, 850.0, 5e9, 1e8, np.inf, 2e8), flow, rtol=0)


@given(
    viscosity=st.floats(0.003, 5.0), laminar=st.floats(0, 1e11), turbulent=st.floats(0, 1e9),
    opening=st.floats(0, 4e5), gradient=st.floats(1e6, 1e10),
)  # fmt: skip
def test_element_and_bypass_share_one_loss_that_grows_with_flow(
    viscosity, laminar, turbulent, opening, gradient
):
    flow = np.linspace(0, 3e-3, 40)
    through = element_flow(flow, viscosity, 850.0, laminar, turbulent, opening, gradient)
    loss = filter_loss(flow, viscosity, 850.0, laminar, turbulent, opening, gradient)
    assert np.all(np.diff(loss) >= -1e-9 * loss[-1])
    past = flow - through
    assert np.all(past >= 0)
    bypassing = past > 1e-9
    # Both ways see the same pressure; 1e-6 for a difference of nearly equal flows.
    both = opening + gradient * past[bypassing]
    assert_allclose(loss[bypassing], both, rtol=1e-6, atol=1e-3)
    assert np.all(loss[~bypassing] <= opening + gradient * 1e-9)
