"""Steady films against Raimondi and Boyd's tables, Shigley's problems and Ocvirk's limit."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from witnessmark.physics.bearing.make_tables import film_row
from witnessmark.physics.bearing.short import short_attitude, short_side_flow, short_sommerfeld
from witnessmark.physics.bearing.steady import eccentricity_at, steady

INF = np.inf
# Raimondi and Boyd, ASLE Trans. 1 (1958) 159-209, part III, full bearing: L/D, e, S, (r/c)f,
# Q/(rcNl), Qs/Q, P/pmax, attitude [deg]. From memory; every row was met by another code too.
RAIMONDI_BOYD = [
    (INF, 0.1, 0.240, 4.80, 3.03, 0, 0.826, 69.10),
    (INF, 0.2, 0.123, 2.57, 2.83, 0, 0.814, 67.26),
    (INF, 0.4, 0.0626, 1.52, 2.26, 0, 0.764, 61.94),
    (INF, 0.6, 0.0389, 1.20, 1.56, 0, 0.667, 54.31),
    (INF, 0.8, 0.0210, 0.961, 0.760, 0, 0.495, 42.22),
    (INF, 0.9, 0.0115, 0.756, 0.411, 0, 0.358, 31.62),
    (1, 0.1, 1.33, 26.4, 3.37, 0.150, 0.540, 79.50),
    (1, 0.2, 0.631, 12.8, 3.59, 0.280, 0.529, 74.02),
    (1, 0.4, 0.264, 5.79, 3.99, 0.497, 0.484, 63.10),
    (1, 0.6, 0.121, 3.22, 4.33, 0.680, 0.415, 50.58),
    (1, 0.8, 0.0446, 1.70, 4.62, 0.842, 0.313, 36.24),
    (1, 0.9, 0.0188, 1.05, 4.74, 0.919, 0.247, 26.45),
    (1, 0.97, 0.00474, 0.514, 4.82, 0.973, 0.152, 15.47),
    (0.5, 0.1, 4.31, 85.6, 3.43, 0.173, 0.523, 81.62),
    (0.5, 0.2, 2.03, 40.9, 3.72, 0.318, 0.506, 74.94),
    (0.5, 0.4, 0.779, 17.0, 4.29, 0.552, 0.441, 61.45),
    (0.5, 0.6, 0.319, 8.10, 4.85, 0.730, 0.365, 48.14),
    (0.5, 0.8, 0.0923, 3.26, 5.41, 0.874, 0.267, 33.31),
    (0.5, 0.9, 0.0313, 1.60, 5.69, 0.939, 0.206, 23.66),
    (0.5, 0.97, 0.00609, 0.610, 5.88, 0.980, 0.126, 13.75),
    (0.25, 0.1, 16.2, 322, 3.45, 0.180, 0.515, 82.31),
    (0.25, 0.2, 7.57, 153, 3.76, 0.330, 0.489, 75.18),
    (0.25, 0.4, 2.83, 61.1, 4.37, 0.567, 0.415, 60.86),
    (0.25, 0.6, 1.07, 26.7, 4.99, 0.746, 0.334, 46.72),
    (0.25, 0.8, 0.261, 8.80, 5.60, 0.884, 0.240, 31.04),
    (0.25, 0.9, 0.0736, 3.50, 5.91, 0.945, 0.180, 21.85),
    (0.25, 0.97, 0.0101, 0.922, 6.12, 0.984, 0.108, 12.22),
]
NAMES = ("sommerfeld", "friction", "flow", "side_ratio", "pressure_ratio", "attitude")


def allowed(name, length_ratio, e):
    """1.5 % and, for the peak pressure, 4 %: what the 1958 machine and its print could hold."""
    if name == "flow" and length_ratio == INF and e >= 0.8:
        # Nearly no oil is drawn in where the gap at the film's end is a tenth; the print holds
        # the last 5 % of it. Continuity (test_reynolds) says which of the two is right: ours.
        return 0.06
    if e > 0.9:
        # The film is 3 % of the clearance there: their grid of some 2 degrees does not resolve
        # the peak, and S leans on it.
        return 0.065 if name == "pressure_ratio" else 0.035
    return 0.04 if name == "pressure_ratio" else 0.015


@pytest.mark.parametrize("row", RAIMONDI_BOYD, ids=lambda row: f"{row[0]}-{row[1]}")
@pytest.mark.parametrize(("place", "name"), list(enumerate(NAMES, start=2)))
def test_against_raimondi_and_boyd(row, place, name):
    ours = getattr(steady(row[1], row[0]), name)
    ours = np.degrees(ours) if name == "attitude" else ours
    if name == "side_ratio" and row[0] == INF:
        assert ours == 0  # an endless bearing has no sides
    else:
        assert ours == pytest.approx(row[place], rel=allowed(name, row[0], row[1]))


def test_friction_and_flow_agree_in_the_mean_far_better_than_row_by_row():
    # A loose row-by-row gate would pass a factor that is 1 % wrong; the mean over 27 would not.
    rows = np.array([row for row in RAIMONDI_BOYD if row[1] <= 0.9 and row[0] != INF])
    found = steady(rows[:, 1], rows[:, 0])
    for place, name in ((2, "sommerfeld"), (3, "friction"), (4, "flow")):
        mean = np.mean(getattr(found, name) / rows[:, place] - 1)
        assert abs(mean) < 0.004, name


def test_textbook_example_of_a_pump_bearing():
    # Shigley, Mechanical Engineering Design, examples 12-1 to 12-4 (from memory): 4 µreyn,
    # 30 rev/s, 500 lbf, r 0.75 in, c 0.0015 in, l 1.5 in. Chart readings: 2.5 %, angles 2 deg.
    sommerfeld = 500.0**2 * 4e-6 * 30 / (500 / (1.5 * 1.5))
    assert sommerfeld == pytest.approx(0.135, abs=5e-4)
    e = eccentricity_at(sommerfeld, 1.0)
    film = steady(e, 1.0)
    assert 1 - e == pytest.approx(0.42, rel=0.025)
    assert film.friction == pytest.approx(3.50, rel=0.025)
    assert film.flow == pytest.approx(4.28, rel=0.025)
    assert film.side_ratio == pytest.approx(0.655, rel=0.025)
    assert film.pressure_ratio == pytest.approx(0.42, rel=0.025)
    assert np.degrees(film.attitude) == pytest.approx(53, abs=2)
    assert np.degrees(film.peak_angle) == pytest.approx(18.5, abs=2)
    assert np.degrees(film.end_angle) == pytest.approx(75, abs=2)


# Shigley problems, instructor's answers as printed (READ): S, L/D, then what the book finds.
PROBLEMS = [
    ("12-1", 0.182, 0.5, {"gap": 0.30, "friction": 5.4, "flow": 5.1, "side_ratio": 0.81}),
    ("12-2", 0.797, 2.0, {"gap": 0.92, "flow": 3.20}),
    ("12-11", 0.358, 1.0, {"gap": 0.68, "friction": 7.5, "flow": 3.8, "side_ratio": 0.44}),
]


@pytest.mark.parametrize(("name", "sommerfeld", "length_ratio", "book"), PROBLEMS)
def test_textbook_problems(name, sommerfeld, length_ratio, book):
    e = eccentricity_at(sommerfeld, length_ratio)
    film = steady(e, length_ratio)
    for quantity, value in book.items():
        ours = 1 - e if quantity == "gap" else getattr(film, quantity)
        # 12-11's side flow was read off a chart: Raimondi and Boyd's own numbers, 0.28 at e = 0.2
        # and 0.497 at e = 0.4, put 0.42 there, so the book's 0.44 is 5.5 % high.
        tolerance = 0.06 if (name, quantity) == ("12-11", "side_ratio") else 0.025
        assert ours == pytest.approx(value, rel=tolerance), quantity


def by_charts(length_ratio, infinite, one, half, quarter):
    """Raimondi and Boyd's interpolation between charts (Shigley equation 12-16)."""
    x = length_ratio
    return x**-3 * (
        -(1 - x) * (1 - 2 * x) * (1 - 4 * x) * infinite / 8
        + (1 - 2 * x) * (1 - 4 * x) * one / 3
        - (1 - x) * (1 - 4 * x) * half / 4
        + (1 - x) * (1 - 2 * x) * quarter / 24
    )


def test_chart_interpolation_is_good_for_the_film_and_overstates_the_pressure():
    # Shigley problem 12-2 (READ): L/D = 2 between the charts, from ordinates as printed there.
    assert by_charts(2, 0.84, 0.54, 0.45, 0.31) == pytest.approx(0.6545, abs=5e-4)
    assert by_charts(2, 3.1, 3.45, 4.2, 5.08) == pytest.approx(3.197, abs=1e-3)
    ratios = np.array([INF, 1.0, 0.5, 0.25])
    e = eccentricity_at(0.797, ratios)
    charts, straight = steady(e, ratios), steady(eccentricity_at(0.797, 2.0), 2.0)
    assert by_charts(2, *(1 - e)) == pytest.approx(1 - straight.eccentricity, rel=0.025)
    # A weakness of the interpolation, not of either table: mean over peak at L/D = 2 comes out
    # 10 to 20 % high, so the book's 0.65 is no gate for ours.
    assert 1.10 < by_charts(2, *charts.pressure_ratio) / straight.pressure_ratio < 1.20


@pytest.mark.parametrize("e", [0.2, 0.5, 0.7, 0.9])
def test_short_bearings_tend_to_ocvirk(e):
    ratios = np.array([0.05, 0.1, 0.2])
    film = steady(e, ratios)
    excess = film.sommerfeld / short_sommerfeld(e, ratios) - 1
    assert np.all(excess > 0)  # the short theory always carries too much
    assert np.all(np.diff(excess) > 0)
    # What is missing goes as a power of L/D, so the limit is reached: 1 where the film's ends eat
    # in, 2 where the flow around the shaft, left out by the short theory, leads.
    power = np.log2(excess[1:] / excess[:-1])
    assert np.all((power > 0.7) & (power < 2.1)), power
    assert excess[0] < 0.02
    assert film.attitude[0] == pytest.approx(short_attitude(e), abs=np.radians(1.5))
    spilt = film.flow[0] * film.side_ratio[0]
    assert spilt == pytest.approx(short_side_flow(e), rel=0.01)


@pytest.mark.parametrize("length_ratio", [0.1, 0.25, 0.5, 1.0, 2.0])
def test_a_finite_film_is_always_thinner_than_the_short_theory_says(length_ratio):
    e = np.linspace(0.02, 0.99, 98)
    assert np.all(eccentricity_at(short_sommerfeld(e, length_ratio), length_ratio) > e)


def test_how_far_the_short_theory_overstates_an_engine_bearing():
    # DuBois and Ocvirk's report limits it to L/D < 1 and moderate load; the factor itself follows
    # from Raimondi and Boyd's rows at e = 0.9: 0.0736 and 0.0313.
    for ratio, published in ((0.25, 0.0736), (0.5, 0.0313)):
        factor = published / short_sommerfeld(0.9, ratio)
        assert steady(0.9, ratio).sommerfeld / short_sommerfeld(0.9, ratio) == pytest.approx(
            factor, rel=0.015
        )
        assert 1.35 < factor < 2.45


def test_table_against_fresh_solutions_between_its_nodes():
    rng = np.random.default_rng(20)
    length = np.exp(rng.uniform(np.log(0.05), np.log(2.0), 24))
    depth = rng.uniform(np.log(0.01), np.log(0.95), 24)
    for ratio, e in zip(length.tolist(), (1 - np.exp(depth)).tolist(), strict=True):
        fresh, film = film_row(e, ratio), steady(e, ratio)
        ours = [film.sommerfeld, film.attitude, film.flow, film.side_ratio, film.pressure_ratio]
        assert_allclose(ours, fresh[:5], rtol=1e-3)  # what steady's docstring promises
        # The film's edge falls on whole cells before it is refined: half a degree.
        assert film.attitude - film.peak_angle == pytest.approx(fresh[5], abs=2e-3)
        assert film.end_angle - film.attitude == pytest.approx(fresh[6], abs=1e-2)


@settings(max_examples=60, deadline=None)
@given(e=st.floats(1e-5, 0.9995), ratio=st.one_of(st.floats(0.05, 4), st.just(INF)))
def test_eccentricity_at_undoes_steady(e, ratio):
    back = eccentricity_at(steady(e, ratio).sommerfeld, ratio)
    assert (1 - back) / back == pytest.approx((1 - e) / e, rel=1e-6)


@settings(max_examples=15, deadline=None)
@given(ratio=st.floats(0.05, 4))
def test_film_quantities_run_one_way(ratio):
    film = steady(np.linspace(0.01, 0.9995, 400), ratio)
    for name in ("sommerfeld", "friction", "attitude"):
        assert np.all(np.diff(getattr(film, name)) < 0), name
    assert np.all(np.diff(film.pressure_ratio[film.eccentricity > 0.1]) < 0)  # flat at first
    assert np.all(np.diff(film.side_ratio) > 0)
    assert np.all((film.side_ratio > 0) & (film.side_ratio < 1))
    assert np.all(film.peak_angle < film.attitude)
    assert np.all(film.attitude < film.end_angle)


def test_arrays_broadcast_and_a_mixture_of_lengths_equals_one_by_one():
    e, ratio = np.array([[0.2], [0.6]]), np.array([0.25, 0.5, INF])
    film = steady(e, ratio)
    assert film.flow.shape == (2, 3)
    for i in range(2):
        for k in range(3):
            assert film.sommerfeld[i, k] == steady(e[i, 0], ratio[k]).sommerfeld
    assert eccentricity_at(film.sommerfeld, ratio) == pytest.approx(np.broadcast_to(e, (2, 3)))


def test_centred_journal_carries_nothing_and_contact_is_not_thinner_than_the_table():
    # Petroff: a centred journal has torque but no load, so friction over load is infinite.
    assert np.isinf(steady(0.0, 0.5).sommerfeld)
    assert np.isinf(steady(0.0, 0.5).friction)
    assert eccentricity_at(np.inf, 0.5) < 1e-9
    assert eccentricity_at(1e-9, 0.5) == 0.9995
    assert steady(0.99999, 0.5).eccentricity == 0.9995


@pytest.mark.parametrize("ratio", [0.25, 0.5, 1.0])
def test_lightly_loaded_bearing_rubs_as_petroff_says(ratio):
    # Petroff (1883): (R/c) f -> 2 pi² S; exact as e -> 0.
    film = steady(0.01, ratio)
    assert film.friction == pytest.approx(2 * np.pi**2 * film.sommerfeld, rel=2e-4)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: steady(1.0, 0.5), "eccentricity"),
        (lambda: steady(-0.1, 0.5), "eccentricity"),
        (lambda: steady(0.5, 0.0), "length over diameter"),
        (lambda: steady(0.5, [0.5, 5.0]), "length over diameter"),
        (lambda: eccentricity_at(0.0, 0.5), "Sommerfeld"),
        (lambda: eccentricity_at([1.0, -1.0], 0.5), "Sommerfeld"),
        (lambda: short_sommerfeld(1.0, 0.5), "eccentricity"),
        (lambda: short_sommerfeld(0.5, -1.0), "length over diameter"),
    ],
)
def test_impossible_bearings_are_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
