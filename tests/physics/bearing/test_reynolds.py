"""The solver against closed forms, its own conditions, and finer grids."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import quad
from scipy.optimize import brentq

from witnessmark.physics.bearing.reynolds import FilmSolver, angle_marks, raimondi_boyd
from witnessmark.physics.bearing.short import short_side_flow, short_sommerfeld


def steady_film(eccentricity, length_ratio, angles=180, widths=16):
    solver = FilmSolver(eccentricity, length_ratio, angles, widths)
    film = solver.solve(0.0, -eccentricity, ambient_at_widest=True)
    return solver, film


@pytest.mark.parametrize("e", [0.1, 0.5, 0.8, 0.95])
def test_long_bearing_that_may_pull_is_sommerfelds(e):
    # A. Sommerfeld, Z. Math. Phys. 50 (1904): full film, closed form; the shaft goes sideways.
    solver = FilmSolver(e, np.inf, angles=720)
    film = solver.solve(0.0, -e, ambient_at_widest=True, cavitation=False)
    turned = solver.angle + np.pi
    gap = 1 + e * np.cos(turned)
    exact = e * np.sin(turned) * (2 + e * np.cos(turned)) / ((2 + e**2) * gap**2)
    # 720 cells: error 4 times smaller than at 360, where it is under 0.1 % of the peak.
    assert_allclose(film.pressure[:, 0], exact, atol=3e-4 * exact.max())
    assert film.toward == pytest.approx(0.0, abs=1e-9)
    sommerfeld = (2 + e**2) * np.sqrt(1 - e**2) / (12 * np.pi**2 * e)
    assert 1 / (6 * np.pi * -film.along) == pytest.approx(sommerfeld, rel=3e-4)


@pytest.mark.parametrize("e", [0.2, 0.6, 0.9])
def test_very_short_bearing_has_ocvirks_parabola(e):
    # Ocvirk, NACA TN 2808 (1952): P = (L/D)² e sin(.) (1 - zeta²)/(2 H³). At L/D = 0.01 the flow
    # around the shaft is some (L/D)² of the flow to the sides: 1e-4, away from the film's ends.
    solver, film = steady_film(e, 0.01)
    inside = (solver.angle > -2.5) & (solver.angle < -0.5)
    parabola = (1 - solver.width_mark[:-1] ** 2) / 2
    exact = 1e-4 * (-e * np.sin(solver.angle) / solver.film**3)[:, None] * parabola[None]
    # 5e-3: the crowded grid bends the parabola by its cell squared, (1.8/16)²/2 at mid width.
    assert_allclose(film.pressure[inside], exact[inside], rtol=5e-3)


@pytest.mark.parametrize("e", [0.2, 0.6, 0.9])
def test_very_short_bearing_carries_ocvirks_load_and_spills_ocvirks_flow(e):
    rows = [raimondi_boyd(*steady_film(e, 0.01, *grid)) for grid in ((180, 8), (360, 16))]
    row = rows[1] + (rows[1] - rows[0]) / 3
    # The film's ends reach (L/D) of the circumference inward; their share of the load is far less.
    assert row[0] == pytest.approx(short_sommerfeld(e, 0.01), rel=2e-3)
    assert row[2] * row[3] == pytest.approx(short_side_flow(e), rel=2e-3)


velocities = st.floats(-1, 1).filter(lambda v: abs(v) > 1e-3)


@settings(max_examples=25, deadline=None)
@given(
    e=st.floats(0, 0.999),
    length_ratio=st.floats(0.05, 4),
    closing=velocities,
    sweeping=velocities,
)
def test_oil_never_pulls_and_never_wants_to_push_where_it_is_gone(
    e, length_ratio, closing, sweeping
):
    solver = FilmSolver(e, length_ratio, 60, 6)
    film = solver.solve(closing, sweeping)
    across = solver.width_step[None, :-1]
    source = (closing * solver.cosines + sweeping * solver.sines)[:, None] * across
    excess = solver.residual(film.pressure) - source
    small = 1e-9 * np.abs(source).max()
    assert film.pressure.min() >= 0
    assert excess.min() >= -small
    assert np.abs(np.where(film.pressure > 0, excess, 0)).max() <= small
    # A film resists: the load has a part along the velocity, or the journal would run by itself.
    assert closing * film.toward + sweeping * film.along > 0


def test_twice_the_speed_is_twice_the_pressure_and_a_mirrored_speed_a_mirrored_film():
    solver = FilmSolver(0.7, 0.5, 60, 6)
    film, double, mirror = (
        solver.solve(0.3 * k, 0.8 * side * k) for k, side in ((1, 1), (2, 1), (1, -1))
    )
    assert_allclose(double.pressure, 2 * film.pressure, rtol=1e-9)
    assert mirror.toward == pytest.approx(film.toward, rel=1e-9)
    assert mirror.along == pytest.approx(-film.along, rel=1e-9)


@pytest.mark.parametrize(
    ("e", "length_ratio"), [(0.3, 1.0), (0.9, 0.25), (0.99, 0.5), (0.999, 0.25)]
)
def test_error_falls_with_the_square_of_the_cell(e, length_ratio):
    found = [
        raimondi_boyd(*steady_film(e, length_ratio, *grid))[:5]
        for grid in ((60, 6), (120, 12), (240, 24))
    ]
    ratio = ((found[1] - found[0]) / (found[2] - found[1]))[:3]
    # 4 for a second-order scheme; the film's edge falls on whole cells, which scatters it.
    assert np.all((ratio > 2.5) & (ratio < 6.5)), ratio
    # And what Richardson leaves on grids coarser than the tables' is below any tolerance there.
    assert_allclose(found[1] + (found[1] - found[0]) / 3, found[2], rtol=2e-3)


@pytest.mark.parametrize("e", [0.2, 0.6, 0.9])
def test_long_bearing_lets_out_where_the_film_ends_what_came_in(e):
    # Continuity: no side flow, and where dp/dx = 0 the flow is U h/2, here pi H.
    # Where that is follows by quadrature from p' = (H - H_end)/H³ with p = 0 at either end.
    def gap(turned):
        return 1 + e * np.cos(turned)

    def pressure_at(end):
        return quad(lambda t: (gap(t) - gap(end)) / gap(t) ** 3, 0, end, limit=200)[0]

    end = brentq(pressure_at, np.pi + 0.01, 2 * np.pi - 0.01)
    row = raimondi_boyd(*steady_film(e, np.inf, 720))
    assert row[2] == pytest.approx(np.pi * gap(end), rel=1e-3)
    assert row[6] == pytest.approx(end - np.pi, abs=5e-3)
    assert row[3] == 0


def test_cells_crowd_where_the_film_is_thin():
    marks = angle_marks(0.99, 180)
    assert marks[0] == pytest.approx(-np.pi)
    assert marks[90] == pytest.approx(0, abs=1e-12)
    step = np.diff(marks)
    assert np.all(step > 0)
    assert step.max() / step.min() > 20


@pytest.mark.parametrize(
    "arguments", [(1.0, 0.5), (-0.1, 0.5), (0.5, 0.0), (0.5, 0.5, 61), (0.5, 0.5, 60, 0)]
)
def test_impossible_bearings_are_refused(arguments):
    with pytest.raises(ValueError, match="found"):
        FilmSolver(*arguments)


def test_infinite_length_needs_a_place_at_ambient():
    with pytest.raises(ValueError, match="ambient"):
        FilmSolver(0.5, np.inf).solve(1.0, 0.0)
