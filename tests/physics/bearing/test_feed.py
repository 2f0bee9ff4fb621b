"""Feed and leakage against a 2-D solution written here, exact identities, and hand arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import quad
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve

from witnessmark.physics.bearing.feed import (
    arc_groove_conductance,
    combined_flow,
    cube_mean,
    full_groove_conductance,
    groove_conductance,
    groove_share,
    hole_conductance,
    hole_share,
    land_conductance,
    leak_conductance,
    swept_hole_conductance,
)

UNIT = 1.0  # a film of 1 m: the conductance is then the flow in the books' h³ p / mu


class Hole:
    """Round feed, diameter d; x round the bore and y along it, from the middle."""

    order = 2.0  # a smooth edge: the grid's error falls with the square of its step

    def __init__(self, diameter):
        self.radius = diameter / 2

    def inside(self, x, y):
        return x**2 + y**2 <= self.radius**2 * (1 + 1e-12)

    def edge_around(self, y):
        return np.sqrt(np.maximum(self.radius**2 - y**2, 0))

    def edge_along(self, x):
        return np.sqrt(np.maximum(self.radius**2 - x**2, 0))


class Groove:
    """Rectangular feed, a along the shaft, b round the bore."""

    order = 4 / 3  # corners of 270 degrees of film: pressure goes as r^(2/3) there

    def __init__(self, along, around):
        self.x, self.y = around / 2, along / 2

    def inside(self, x, y):
        return (x <= self.x * (1 + 1e-12)) & (y <= self.y * (1 + 1e-12))

    def edge_around(self, y):
        return np.where(y <= self.y * (1 + 1e-12), self.x, 0.0)

    def edge_along(self, x):
        return np.where(x <= self.x * (1 + 1e-12), self.y, 0.0)


def flow_on_grid(diameter, length, feed, steps, eccentricity=0.0):
    """Flow Q mu / (c³ p) out of the ends, div(h³ grad p) = 0 on a quarter of the unwrapped bore.

    Feed at the widest film, p = 1 in it and 0 at the bearing's end. Links that cross the
    edge of the feed are cut to their true length, so a hole is round and not a staircase.
    """
    dy = length / 2 / steps
    columns = round(np.pi * diameter / 2 / dy)
    dx = np.pi * diameter / 2 / columns
    x, y = np.arange(columns + 1) * dx, np.arange(steps + 1) * dy

    def cube(at):
        return (1 + eccentricity * np.cos(2 * at / diameter)) ** 3

    fed = feed.inside(*np.meshgrid(x, y, indexing="ij"))
    wide = np.full(columns + 1, dx)
    wide[[0, -1]] /= 2
    tall = np.full(steps + 1, dy)
    tall[[0, -1]] /= 2
    cut = np.clip((x[1:, None] - feed.edge_around(y)[None, :]) / dx, 1e-3, 1)
    around = cube((x[1:] + x[:-1]) / 2)[:, None] * tall / dx
    around /= np.where(fed[:-1] & ~fed[1:], cut, 1)
    cut = np.clip((y[None, 1:] - feed.edge_along(x)[:, None]) / dy, 1e-3, 1)
    along = (cube(x) * wide)[:, None] / dy / np.where(fed[:, :-1] & ~fed[:, 1:], cut, 1)

    node = np.arange(fed.size).reshape(fed.shape)
    one = np.r_[node[:-1].ravel(), node[:, :-1].ravel()]
    two = np.r_[node[1:].ravel(), node[:, 1:].ravel()]
    link = np.r_[around.ravel(), along.ravel()]
    rows, cols = np.r_[one, two, one, two], np.r_[one, two, two, one]
    matrix = coo_array((np.r_[link, link, -link, -link], (rows, cols))).tocsr()
    known = fed.copy()
    known[:, -1] = True
    pressure, free = np.where(fed, 1.0, 0.0).ravel(), ~known.ravel()
    pressure[free] = spsolve(matrix[free][:, free].tocsc(), -(matrix[free] @ pressure))
    last = pressure.reshape(fed.shape)[:, -2]
    return 4 * np.sum(along[:, -1] * last) / 12


def flow_by_laplace(diameter, length, feed, eccentricity=0.0):
    """Two grids, and what they say of an endlessly fine one."""
    coarse, fine = (flow_on_grid(diameter, length, feed, n, eccentricity) for n in (30, 60))
    return fine + (fine - coarse) / (2**feed.order - 1)


# --- the 2-D solution itself ------------------------------------------------------------------


@pytest.mark.parametrize("hole", [2.0, 4.0, 6.0])
def test_the_grid_against_the_closed_form_of_a_small_hole_in_a_strip(hole):
    # Potential of a source in an endless strip, -ln|tanh(pi z / 2L)| / 2 pi (method of images,
    # or a conformal map), gives kappa = (pi/6) h³ / ln(4 L / pi d). The hole's edge is a line of
    # equal pressure but for terms of (pi d / 4 L)^4: 0.3 % at d/L = 0.3, less below; the next
    # image round the bore counts exp(-pi² D / L), nothing.
    length = 20.0
    exact = np.pi / 6 / np.log(4 * length / (np.pi * hole))
    assert_allclose(flow_by_laplace(50.0, length, Hole(hole)), exact, rtol=1e-3)


# --- the hole --------------------------------------------------------------------------------


# Sizes in mm, d/L 0.24 to 0.5 as in car bearings, three of them those of E in check-values.md.
@pytest.mark.parametrize(
    ("diameter", "length", "hole"),
    [(50, 25, 6), (50, 20, 6), (50, 25, 8), (48, 18, 8), (20, 20, 6), (50, 20, 10)],
)
def test_martin_lee_hole_within_two_per_cent_of_a_laplace_solution(diameter, length, hole):
    ours = hole_conductance(length, hole, UNIT)
    laplace = flow_by_laplace(diameter, length, Hole(hole))
    assert_allclose(ours, laplace, rtol=0.02)  # issue 3 asks for 2 %


@pytest.mark.parametrize(("length", "hole"), [(20.0, 3.0), (20.0, 4.0), (20.0, 1.0)])
def test_martin_lee_strays_up_to_three_per_cent_at_small_holes(length, hole):
    # The docstring's band for d/L 0.05 to 0.25: power law against a logarithm. Both sides are
    # held, so that neither the formula nor what is said of it can drift.
    ratio = hole_conductance(length, hole, UNIT) / flow_by_laplace(50.0, length, Hole(hole))
    assert 0.02 < abs(ratio - 1) < 0.033


@pytest.mark.parametrize("eccentricity", [0.3, 0.6, 0.9])
def test_a_hole_at_the_widest_film_takes_the_film_there(eccentricity):
    # Film falls off on both sides of the hole; taking the film at the hole all round costs 3 %.
    ours = hole_conductance(20.0, 6.0, 1 + eccentricity)
    assert_allclose(ours, flow_by_laplace(50.0, 20.0, Hole(6.0), eccentricity), rtol=0.03)


def test_a_journal_hole_sweeping_every_film_averages_the_cube():
    angle = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    each = hole_conductance(18e-3, 5e-3, 25e-6 * (1 + 0.7 * np.cos(angle)))
    assert_allclose(swept_hole_conductance(18e-3, 5e-3, 25e-6, 0.7), each.mean(), rtol=1e-12)


# --- grooves ---------------------------------------------------------------------------------


# D, L, a, b in mm. Measured: +1.2, +3.4, +3.7, +1.8, +5.5 %: the formula reads high, more for a
# short groove. The band is that of the docstring and excludes a reading on the low side.
@pytest.mark.parametrize(
    ("diameter", "length", "along", "around"),
    [(50, 20, 14, 8), (50, 25, 15, 5), (50, 20, 10, 10), (80, 30, 20, 10), (60, 20, 5, 10)],
)
def test_martin_lee_groove_reads_up_to_six_per_cent_high(diameter, length, along, around):
    laplace = flow_by_laplace(diameter, length, Groove(along, around))
    assert 1.0 < groove_conductance(length, along, around, UNIT) / laplace < 1.06


def test_a_long_groove_round_the_bore_is_two_lands():
    # Far longer than wide, the ends do not count: b h³ / (12 l) for each of two lands, exact.
    ours = groove_conductance(20.0, 4.0, 1e6, UNIT)
    assert_allclose(ours, 2 * 1e6 / (12 * 8.0), rtol=1e-4)


@pytest.mark.parametrize("eccentricity", [0.0, 0.3, 0.6, 0.9])
@pytest.mark.parametrize("arc", [0.75 * np.pi, np.pi, 1.5 * np.pi])
def test_part_of_a_groove_over_the_widest_film(arc, eccentricity):
    ours = arc_groove_conductance(60.0, 20.0, 3.0, arc, UNIT, eccentricity)
    laplace = flow_by_laplace(60.0, 20.0, Groove(3.0, arc * 30.0), eccentricity)
    assert_allclose(ours, laplace, rtol=0.025)  # measured: 0.06 to 1.7 %


def test_part_of_a_groove_over_the_thinnest_film_reads_low():
    # The film opens right beyond the groove's ends, and the formula takes it as even there.
    ours = arc_groove_conductance(60.0, 20.0, 3.0, np.pi, UNIT, 0.9, widest=np.pi)
    laplace = flow_by_laplace(60.0, 20.0, Groove(3.0, np.pi * 30.0), -0.9)
    assert 0.87 < ours / laplace < 1.0


def test_a_half_groove_in_the_unloaded_shell_leaks_nearly_as_much_as_a_whole_one():
    # What a main bearing gains by a plain lower shell is load, not oil saved: the wide half of
    # the film passes (1 + 6e/pi + 1.5e² + 4e³/3pi)/2 of 1 + 1.5e² through the lands alone.
    e = 0.6
    lands = (1 + 6 * e / np.pi + 1.5 * e**2 + 4 * e**3 / (3 * np.pi)) / 2 / (1 + 1.5 * e**2)
    whole = full_groove_conductance(60.0, 20.0, 3.0, UNIT, e)
    half = arc_groove_conductance(60.0, 20.0, 3.0, np.pi, UNIT, e)
    assert lands < half / whole < 1.0
    assert_allclose(half / whole, lands, rtol=0.05)  # the two ends add a few per cent
    centred = arc_groove_conductance(60.0, 20.0, 3.0, np.pi, UNIT)
    assert_allclose(centred / full_groove_conductance(60.0, 20.0, 3.0, UNIT), 0.5, rtol=0.13)


def test_half_groove_without_ends_is_half_the_full_one_when_concentric():
    # Lands of a groove hardly wider than nothing: ends vanish, what is left halves. Exact limit.
    half = arc_groove_conductance(60.0, 20.0, 1e-9, np.pi, UNIT)
    assert_allclose(half / full_groove_conductance(60.0, 20.0, 1e-9, UNIT), 0.5, rtol=1e-3)


# --- exact identities --------------------------------------------------------------------------


def test_one_land_is_the_concentric_annulus():
    # pi D c³ / (12 l) by hand: 0.157080 · 2.7e-14 / 0.12 = 3.534292e-14 m³.
    assert_allclose(land_conductance(0.05, 0.01, 30e-6), 3.534292e-14, rtol=1e-6)


def test_annulus_against_flow_between_tubes():
    # Exact laminar flow between concentric tubes (Bird, Stewart and Lightfoot, Transport
    # Phenomena, sec. 2.4, from memory); a thin gap differs from a plane one by (c/R)² only, but
    # the exact form loses digits in a difference of fourth powers: hence 1e-3 and no better.
    inner, c, land = 0.025, 30e-6, 0.01
    outer = inner + c
    tubes = outer**4 - inner**4 - (outer**2 - inner**2) ** 2 / np.log(outer / inner)
    # Mean diameter, not the journal's: the two differ by c/D, 0.06 %.
    ours = land_conductance(inner + outer, land, c)
    assert_allclose(ours, np.pi * tubes / (8 * land), rtol=1e-3)


def test_full_groove_against_the_anchor():
    # check-values.md E: r 25, c 0.030, l' 8 mm, 4 bar, 10 mPa s, e 0.6: 0.327 L/min (its own
    # arithmetic of the same formula, three digits).
    kappa = full_groove_conductance(0.05, 0.016 + 0.003, 0.003, 30e-6, 0.6)
    assert_allclose(kappa * 4e5 / 0.010 * 60e3, 0.327, rtol=0.002)


@given(st.floats(0, 1))
def test_mean_of_the_cube_over_a_turn(eccentricity):
    assert_allclose(cube_mean(eccentricity), 1 + 1.5 * eccentricity**2, rtol=1e-13)


@given(st.floats(0, 1), st.floats(0.1, 6.28), st.floats(-4, 4))
def test_mean_of_the_cube_over_an_arc_against_quadrature(eccentricity, arc, widest):
    total = quad(lambda t: (1 + eccentricity * np.cos(t)) ** 3, widest - arc / 2, widest + arc / 2)[
        0
    ]
    assert_allclose(cube_mean(eccentricity, arc, widest), total / arc, rtol=1e-9, atol=1e-12)


FEEDS = [
    lambda c: land_conductance(0.05, 0.008, c, 0.5),
    lambda c: full_groove_conductance(0.05, 0.02, 0.003, c, 0.5),
    lambda c: arc_groove_conductance(0.05, 0.02, 0.003, np.pi, c, 0.5),
    lambda c: groove_conductance(0.02, 0.01, 0.01, c),
    lambda c: hole_conductance(0.02, 0.005, c),
    lambda c: swept_hole_conductance(0.02, 0.005, c, 0.5),
]


@pytest.mark.parametrize("kappa", FEEDS)
def test_half_the_clearance_passes_an_eighth(kappa):
    assert_allclose(kappa(15e-6) / kappa(30e-6), 1 / 8, rtol=1e-12)


@pytest.mark.parametrize("kappa", FEEDS)
def test_a_quarter_more_clearance_doubles_the_flow(kappa):
    # Cube root of 2 is 1.2599; with 1.26 the flow is 2.0004 times as large.
    assert_allclose(kappa(1.26 * 30e-6) / kappa(30e-6), 1.26**3, rtol=1e-12)
    assert_allclose(1.26**3, 2.0, rtol=3e-4)


def test_a_hole_fed_rod_bearing_leaks_a_tenth_of_a_grooved_one():
    # 48 x 18 mm journal, 5 mm hole or 3 mm groove, by hand: (pi 48 / (6 · 7.5)) / (0.675 ·
    # (5/18 + 0.4)^1.75) = 3.351 / 0.3418 = 9.8.
    hole = swept_hole_conductance(18.0, 5.0, UNIT, 0.6)
    assert_allclose(full_groove_conductance(48.0, 18.0, 3.0, UNIT, 0.6) / hole, 9.80, rtol=0.002)


# --- with rotation, one door, broadcasting, faults -------------------------------------------


def test_combined_flow_keeps_its_two_ends():
    # No outside value was found for the exponents: only what the rule must do whatever they are.
    assert_allclose(combined_flow(0.0, 3e-6, hole_share()), 3e-6, rtol=1e-12)
    assert combined_flow(3e-6, 0.0, hole_share()) == 0.0
    # Qh = Qp = 1: Qm = 1.7, Q = 1.7^0.6 by hand 1.3749.
    assert_allclose(combined_flow(1.0, 1.0, 0.6), 1.3749, rtol=1e-4)
    # 0.7 · 0.5^0.7 + 0.4 by hand 0.8309.
    assert_allclose(groove_share(20.0, 10.0), 0.8309, rtol=1e-4)


def test_one_door_picks_the_feed():
    sizes = {"diameter": 0.05, "length": 0.02, "groove": 0.003, "hole": 0.005}
    assert leak_conductance(3e-5, 0.6, groove_arc=6.2831853072, **sizes) == pytest.approx(
        float(full_groove_conductance(0.05, 0.02, 0.003, 3e-5, 0.6))
    )
    assert leak_conductance(3e-5, 0.6, groove_arc=np.pi, widest=0.3, **sizes) == pytest.approx(
        float(arc_groove_conductance(0.05, 0.02, 0.003, np.pi, 3e-5, 0.6, 0.3))
    )
    assert leak_conductance(3e-5, 0.6, **sizes) == pytest.approx(
        float(swept_hole_conductance(0.02, 0.005, 3e-5, 0.6))
    )


@pytest.mark.parametrize("arc", [0.0, np.pi, 2 * np.pi])
def test_arrays_broadcast_and_agree_with_single_numbers(arc):
    sizes = {"diameter": 0.05, "length": 0.02, "groove": 0.003, "hole": 0.005, "groove_arc": arc}
    clearance, eccentricity = np.array([[20e-6], [30e-6]]), np.array([0.0, 0.5, 0.9])
    table = leak_conductance(clearance, eccentricity, **sizes)
    assert table.shape == (2, 3)
    assert_allclose(table[1, 2], leak_conductance(30e-6, 0.9, **sizes), rtol=1e-14)


BAD = [
    (lambda: land_conductance(0.05, 0.008, -2e-5), "radial clearance: found -2e-05, wanted"),
    (lambda: land_conductance(0.05, np.array([0.008, np.nan]), 2e-5), "land length: found nan"),
    (lambda: full_groove_conductance(0.05, 0.02, 0.02, 2e-5), "feed groove: found 0.02 m in a"),
    (lambda: hole_conductance(0.02, 0.03, 2e-5), "oil hole: found 0.03 m in a bearing of 0.02 m"),
    (lambda: cube_mean(1.2), "eccentricity: found 1.2, wanted"),
    (lambda: arc_groove_conductance(0.05, 0.02, 0.003, 7.0, 2e-5), "use the full groove"),
    (lambda: leak_conductance(2e-5, diameter=0.05, length=0.02), "neither a groove nor a hole"),
    (lambda: combined_flow(-1.0, 1.0, 0.6), "hydrodynamic flow: found -1, wanted"),
]


@pytest.mark.parametrize(("call", "message"), BAD)
def test_sizes_no_bearing_has_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
