import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from tests.physics.circuit.made import each, engine, hole, states
from witnessmark.physics.circuit.balance import balance, demand
from witnessmark.physics.circuit.bench import parts
from witnessmark.physics.circuit.network import Circuit, Leak, State, solve

PUMP, SPEED, MU, RHO = 12e-6, 40.0, 0.012, 820.0
EXACT = 2e-9  # the solver stops at 3e-10 of the pump's flow; slopes of these cases are near 1


def solved(circuit, speed=SPEED, viscosity=MU, density=RHO):
    return solve(circuit, speed, viscosity, density, viscosity)


def test_an_ideal_pump_on_two_leaks_side_by_side():
    # Closed form: resistances in parallel, p = V n µ / (κ1 + κ2).
    found = solved(Circuit(PUMP, leaks=(Leak(7e-12), Leak(5e-12))))
    assert_allclose(found.gallery, PUMP * SPEED * MU / 12e-12, rtol=EXACT)
    assert_allclose(np.array(found.leak_flows), PUMP * SPEED * np.array([7, 5]) / 12, rtol=EXACT)


def test_a_slipping_pump_on_a_leak():
    # Closed form: slip is one more leak side by side.
    found = solved(Circuit(PUMP, slip=2e-12, leaks=(Leak(10e-12),)))
    assert_allclose(found.gallery, PUMP * SPEED * MU / 12e-12, rtol=EXACT)
    assert_allclose(found.slip_flow, PUMP * SPEED / 6, rtol=EXACT)


def test_a_relief_valve_beside_a_leak():
    # Closed form: V n = κ p / µ + (p - p0) / G above p0.
    opening, gradient, leak = 400e3, 3e8, 5e-12
    found = solved(
        Circuit(PUMP, relief_opening=opening, relief_gradient=gradient, leaks=(Leak(leak),))
    )
    expected = (PUMP * SPEED + opening / gradient) / (leak / MU + 1 / gradient)
    assert expected > opening
    assert_allclose(found.gallery, expected, rtol=EXACT)
    assert_allclose(found.relief_flow, (expected - opening) / gradient, rtol=1e-8)


def test_a_quadratic_passage_before_a_leak_with_slip():
    # Closed form: k/µ (p + bρQ²) + Q = V n with Q = κp/µ is a quadratic in Q.
    slip, leak, b = 3e-12, 8e-12, 5e8
    found = solved(Circuit(PUMP, slip=slip, passage_turbulent=b, leaks=(Leak(leak),)))
    square, straight = slip / MU * b * RHO, 1 + slip / leak
    flow = (np.sqrt(straight**2 + 4 * square * PUMP * SPEED) - straight) / (2 * square)
    assert_allclose(found.flow, flow, rtol=EXACT)
    assert_allclose(found.pump, flow * MU / leak + b * RHO * flow**2, rtol=EXACT)


def test_a_laminar_filter_with_its_bypass_open():
    # Closed form: all of V n passes; element a µ Qe = opening + G (Q - Qe).
    a, opening, gradient, leak = 4e10, 100e3, 2e8, 1e-11
    circuit = Circuit(
        PUMP, filter_laminar=a, bypass_opening=opening, bypass_gradient=gradient,
        leaks=(Leak(leak),),
    )  # fmt: skip
    found = solved(circuit)
    through = (opening + gradient * PUMP * SPEED) / (a * MU + gradient)
    assert through < PUMP * SPEED
    assert_allclose(found.bypass_flow, PUMP * SPEED - through, rtol=1e-8)
    assert_allclose(found.pump - found.gallery, a * MU * through, rtol=EXACT)


def test_a_turning_crank_adds_its_head():
    # Closed form: V n = (κ1 p + κ2 (p + h ρ n²)) / µ.
    head = 0.1
    found = solved(Circuit(PUMP, leaks=(Leak(7e-12), Leak(5e-12, head))))
    expected = (PUMP * SPEED * MU - 5e-12 * head * RHO * SPEED**2) / 12e-12
    assert_allclose(found.gallery, expected, rtol=EXACT)


def test_a_crank_that_holds_oil_back_shuts_its_bearing_until_pressure_beats_it():
    shut = solved(Circuit(PUMP, leaks=(Leak(7e-11), Leak(5e-12, -0.1))))
    assert shut.gallery < 0.1 * RHO * SPEED**2
    assert_allclose(shut.gallery, PUMP * SPEED * MU / 7e-11, rtol=EXACT)
    assert shut.leak_flows[1] == 0
    more = solved(Circuit(10 * PUMP, leaks=(Leak(7e-12), Leak(5e-12, -0.1))))
    expected = (10 * PUMP * SPEED * MU + 5e-12 * 0.1 * RHO * SPEED**2) / 12e-12
    assert_allclose(more.gallery, expected, rtol=EXACT)


def test_relief_after_the_filter_holds_the_gallery_itself():
    # Closed form: V n = κ p / µ + (p - p0) / G whatever the filter loses.
    opening, gradient, leak = 400e3, 3e8, 5e-12
    circuit = Circuit(
        PUMP, relief_opening=opening, relief_gradient=gradient, relief_after_filter=True,
        filter_laminar=2e10, filter_turbulent=1e8, leaks=(Leak(leak),),
    )  # fmt: skip
    found = solved(circuit)
    expected = (PUMP * SPEED + opening / gradient) / (leak / MU + 1 / gradient)
    assert_allclose(found.gallery, expected, rtol=EXACT)
    assert_allclose(found.flow, PUMP * SPEED, rtol=EXACT)


def test_half_the_clearance_is_eight_times_the_pressure():
    # Cube law: an ideal pump pushes all its flow through lands whose κ goes with c³.
    def pressure(clearance):
        lands = Leak(5 * np.pi * 0.05 * clearance**3 / (6 * 0.008))
        return solved(Circuit(PUMP, leaks=(lands,))).gallery

    assert_allclose(pressure(15e-6), 8 * pressure(30e-6), rtol=EXACT)


@pytest.mark.parametrize("after_filter", [False, True])
def test_mass_and_power_balance_in_every_state(after_filter):
    # Kirchhoff at each node with flows worked out one by one; Tellegen: power made is power used.
    circuit, s = engine(relief_after_filter=after_filter), states()
    found = solve(circuit, *each(s))
    displaced = np.broadcast_to(circuit.pump_displacement * s.speed, found.gallery.shape)
    runs = displaced > 0
    used = sum(found.leak_flows) + sum(found.orifice_flows)
    made = displaced - found.slip_flow
    left = made - found.relief_flow - used
    assert np.all(np.abs(left[runs]) < 1e-9 * displaced[runs])
    assert np.all(np.abs(found.residual) < 1e-9)
    spilled_at = found.gallery if after_filter else found.pump
    power = made * found.pump - spilled_at * found.relief_flow - found.gallery * used
    lost = (found.pump - found.gallery) * found.flow
    assert np.all(np.abs(power - lost)[runs] < 1e-9 * (displaced * found.pump)[runs])
    assert np.all(np.isfinite(found.gallery)) and np.all(found.gallery[~runs] == 0)


def test_the_solver_answers_what_brentq_answers():
    # Independent root finder on the plain equations; 1e-7 is the flow residual over the slope.
    circuit, s = engine(), states(6, 7)
    found = solve(circuit, *each(s))
    for place in np.ndindex(found.gallery.shape):
        one = State(*(float(np.broadcast_to(v, found.gallery.shape)[place]) for v in each(s)))
        if one.speed == 0:
            continue

        def left(pressure, one=one):
            return float(balance(circuit, pressure, one)[0])

        expected = brentq(left, 0.0, 5e6, xtol=1e-9, rtol=1e-14)
        assert_allclose(found.gallery[place], expected, rtol=1e-7)


def test_fast_flows_are_those_of_the_public_formulas():
    circuit, s = engine(), states()
    found = solve(circuit, *each(s))
    _, flow, spilled, pump = balance(circuit, found.gallery, s)
    # Same formulas in another order of arithmetic: rounding only.
    assert_allclose(found.flow, flow, rtol=1e-12, atol=1e-25)
    assert_allclose(found.pump, pump, rtol=1e-12, atol=1e-20)
    assert_allclose(found.relief_flow, spilled, rtol=1e-9, atol=1e-15)
    assert_allclose(demand(circuit, found.gallery, s), found.flow, rtol=1e-12, atol=1e-25)


def test_a_pump_that_cannot_fill_the_turning_crank_is_starved_and_says_so():
    circuit = Circuit(1e-6, leaks=(Leak(4e-11, 0.1), Leak(2e-11)), orifices=(hole(1.0),))
    found = solved(circuit, speed=np.array([20.0, 100.0]))
    assert found.starved.all() and np.all(found.gallery == 0)
    # What the pump moves goes to the bearing that draws, nothing to the others.
    assert_allclose(found.leak_flows[0], 1e-6 * np.array([20, 100]), rtol=EXACT)
    assert np.all(found.leak_flows[1] == 0) and np.all(found.orifice_flows[0] == 0)


def test_clearance_so_wide_that_pressure_never_builds_is_an_answer_not_a_crash():
    # Closed form again: a thousandfold leakage is a thousandth of the pressure.
    found = solved(Circuit(PUMP, leaks=(Leak(12e-9),)))
    assert_allclose(found.gallery, PUMP * SPEED * MU / 12e-9, rtol=EXACT)
    assert not found.starved


def test_shapes_broadcast_and_blocks_do_not_show():
    # More states than one block; each must answer as if asked alone.
    rng = np.random.default_rng(3)
    leak = rng.uniform(0.7, 1.4, (700, 1, 1))
    s = states(7, 5)
    whole = solve(engine(leak), *each(s))
    assert whole.gallery.shape == whole.leak_flows[0].shape == (700, 7, 5)
    for i in (0, 311, 699):
        alone = solve(engine(float(leak[i, 0, 0])), *each(s))
        assert_allclose(whole.gallery[i], alone.gallery, rtol=1e-8, atol=1e-9)
    assert solve(engine(), 30.0, 0.02, 830.0, 0.015).gallery.shape == ()
    assert solve(engine(), np.zeros((0, 3)), 0.02, 830.0, 0.015).gallery.shape == (0, 3)


@pytest.mark.parametrize("shape", [(), (7,), (5, 1), (1, 9, 4), (3, 11), (2, 3, 5), (0, 4), (4, 0)])
def test_every_state_lies_in_one_part(shape):
    # Whatever the shape, blocks of at most ten cover each state once and in memory order.
    numbers = np.arange(int(np.prod(shape))).reshape(shape)
    found = [
        (flat, numbers.reshape(shape or (1,))[where].ravel()) for flat, where in parts(shape, 10)
    ]
    assert all(len(mine) == flat.stop - flat.start <= 10 for flat, mine in found)
    assert [n for _, mine in found for n in mine] == list(range(numbers.size))


def test_no_holes_is_the_same_as_a_count_of_none_or_a_valve_that_never_opens():
    s = states()
    bare = solve(engine(orifices=()), *each(s)).gallery
    for closed in (hole(1.4, 0), hole(1.4, 5, np.inf)):
        assert_allclose(solve(engine(orifices=(closed,)), *each(s)).gallery, bare, rtol=1e-8)


BAD = [
    ({"pump_displacement": -14e-6}, "pump displacement: found -1.4e-05, wanted .*above 0"),
    ({"pump_displacement": np.nan}, "pump displacement: found nan, wanted a finite number"),
    ({"relief_gradient": 0.0}, "relief gradient: found 0, wanted .*above 0"),
    ({"slip": -1e-15}, "slip: found -1e-15"),
    ({"leaks": (Leak(np.array([1e-12, -1e-12]), name="rods"),)}, "conductance of rods: found -1e"),
    ({"leaks": (Leak(np.inf, name="rods"),)}, "conductance of rods: found inf"),
    ({"orifices": (hole(1.0, name="turbo", length_ratio=0.5),)}, "of turbo: found 0.5, .*least 2"),
    ({"orifices": (hole(1.0, opening=-1.0),)}, "opening pressure of hole: found -1"),
    ({"leaks": (), "orifices": (), "slip": 0.0, "relief_opening": np.inf}, "no way out"),
]


@pytest.mark.parametrize(("change", "message"), BAD)
def test_numbers_no_circuit_has_are_refused_in_one_sentence(change, message):
    with pytest.raises(ValueError, match=message):
        solve(engine(**change), 30.0, 0.02, 830.0, 0.015)


@pytest.mark.parametrize(
    ("state", "message"),
    [
        ((-1.0, 0.02, 830.0, 0.015), "engine speed: found -1"),
        ((30.0, 0.0, 830.0, 0.015), "viscosity: found 0"),
        ((30.0, 0.02, np.nan, 0.015), "density: found nan"),
        ((30.0, 0.02, 830.0, -0.1), "film viscosity: found -0.1"),
    ],
)
def test_states_no_engine_is_in_are_refused(state, message):
    with pytest.raises(ValueError, match=message):
        solve(engine(), *state)
