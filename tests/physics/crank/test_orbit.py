import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import solve_ivp

from witnessmark.physics.bearing.mobility import MobilityMap
from witnessmark.physics.bearing.reynolds import FilmSolver
from witnessmark.physics.bearing.short import short_mobility
from witnessmark.physics.bearing.steady import steady
from witnessmark.physics.crank import orbit as orbits
from witnessmark.physics.crank.loads import BearingLoad, Masses, rod_load
from witnessmark.physics.crank.lone import LoneMarcher
from witnessmark.physics.crank.march import Course
from witnessmark.physics.crank.motion import Cylinder, cycle_angles
from witnessmark.physics.crank.orbit import Bearing, orbit

ANGLE = cycle_angles(720)
BEARING = Bearing(diameter=0.050, length=0.019, clearance=26e-6)
CYLINDER = Cylinder(bore=0.084, stroke=0.088, rod=0.149, compression_ratio=9.2)
MASSES = Masses(reciprocating=0.55, rotating=0.42)
GAS = 6e6 * np.exp(-(((ANGLE - 0.2) / 0.5) ** 2))


def engine(speed, gas=GAS, frame="rod"):
    return rod_load(ANGLE, CYLINDER, MASSES, gas, speed, frame)


def still(force, turning=0.5, angle=ANGLE):
    """A load that stands still in its frame."""
    vector = np.broadcast_to(np.array([force, 0.0]), (len(angle), 2))
    return BearingLoad(angle, vector, np.full(len(angle), turning))


def force_for(sommerfeld, ratio, speed=50.0, viscosity=0.01):
    """Load that gives a Sommerfeld number S = (R/c)² µ N L D / W."""
    return (0.025 / 26e-6) ** 2 * viscosity * speed * ratio * 0.05**2 / sommerfeld


@pytest.mark.parametrize("ratio", [0.25, 0.38, 0.5])
@pytest.mark.parametrize("eccentricity", [0.4, 0.7, 0.9, 0.95])
def test_a_steady_load_settles_where_the_steady_bearing_runs(eccentricity, ratio):
    # `steady` is held to Raimondi and Boyd elsewhere. Its film starts at the widest gap, the
    # mobility's wherever it likes: that, and two tables, set the tolerance. (In longer bearings
    # the start of the film shows more: see the next test.)
    expected = steady(eccentricity, ratio)
    bearing = Bearing(0.05, 0.05 * ratio, 26e-6)
    found = orbit(still(force_for(expected.sommerfeld, ratio)), bearing, 50.0, 0.01)
    along, across = found.path[-1]
    assert found.settled
    assert_allclose(np.hypot(along, across), eccentricity, rtol=0.004)
    assert_allclose(np.arctan2(across, along), expected.attitude, atol=np.deg2rad(0.6))


@pytest.mark.parametrize("eccentricity", [0.2, 0.5, 0.8])
def test_a_long_bearing_settles_where_reynolds_equation_puts_it(eccentricity):
    # Reynolds solved afresh at L/D = 1 for a film free to begin anywhere, as the mobility's is.
    film = FilmSolver(eccentricity, 1.0).solve(0.0, -eccentricity)
    sommerfeld = 1 / (6 * np.pi * np.hypot(film.toward, film.along))
    bearing = Bearing(0.05, 0.05, 26e-6)
    along, across = orbit(still(force_for(sommerfeld, 1.0)), bearing, 50.0, 0.01).path[-1]
    assert_allclose(np.hypot(along, across), eccentricity, rtol=0.005)
    attitude = np.arctan2(-film.along, film.toward)
    assert_allclose(np.arctan2(across, along), attitude, atol=np.deg2rad(0.5))


def test_a_load_that_turns_with_the_shaft_is_carried_like_one_that_stands_still():
    # Known property: seen from the load the film turns at -1/2 instead of 1/2, so the journal
    # runs as far off, on the other side.
    force = force_for(0.3, 0.38)
    stands, turns = (orbit(still(force, t), BEARING, 50.0, 0.01).path[-1] for t in (0.5, -0.5))
    assert_allclose(turns, stands * [1, -1], rtol=1e-6)


@pytest.mark.parametrize("few", [0, 12])
def test_a_load_that_turns_at_half_speed_finds_no_film(few, monkeypatch):
    # Half-speed whirl: no wedge is left, the journal sinks for ever. In Booker's short bearing
    # (1 - e)^-1.5 then grows by 1.5 / (pi (L/D)²) times the impulse: closed form.
    monkeypatch.setattr(orbits, "FEW", few)
    force, ratio = 2000.0, 0.38
    sinking = orbit(
        still(force, 0.0), BEARING, 50.0, 0.01, most_cycles=3, start=(0.0, 0.0),
        tolerance=1e-4, mobility=lambda a, b: short_mobility(a, b, ratio),
    )  # fmt: skip
    assert not sinking.settled
    unit = (26e-6 / 0.025) ** 2 / (0.019 * 0.05 * 0.01 * 2 * np.pi * 50.0)
    total = force * unit * 3 * 4 * np.pi
    gap = (1 + 1.5 / (np.pi * ratio**2) * total) ** (-1 / 1.5)
    last = np.hypot(*sinking.path[-1])  # one step of the load before the third cycle's end
    assert_allclose(1 - last, gap, rtol=2e-3)


def test_a_finite_film_sinks_too():
    shallow = orbit(still(2000.0, 0.0), BEARING, 50.0, 0.01, most_cycles=2)
    deep = orbit(still(2000.0, 0.0), BEARING, 50.0, 0.01, most_cycles=6)
    assert not shallow.settled
    assert deep.least_film < 0.6 * shallow.least_film


@pytest.mark.parametrize(("speed", "viscosity"), [(15.0, 0.012), (35.0, 0.008), (115.0, 0.006)])
def test_least_film_against_an_independent_stepper(speed, viscosity):
    # scipy's stiff solver on the same equations written out here, two cycles at 1e-9.
    load = engine(speed)
    film = MobilityMap(0.38)
    scale = (26e-6 / 0.025) ** 2 / (0.019 * 0.05 * viscosity * 2 * np.pi * speed)
    force = np.vstack([load.force, load.force[:1]])
    turning = np.append(load.turning, load.turning[0])
    marks = np.append(ANGLE, 2 * np.pi)

    def rate(angle, place):
        at = (angle + 2 * np.pi) % (4 * np.pi) - 2 * np.pi
        fx, fy = (np.interp(at, marks, force[:, k]) for k in (0, 1))
        size = np.hypot(fx, fy)
        ux, uy = fx / size, fy / size
        along, across = film(place[0] * ux + place[1] * uy, place[1] * ux - place[0] * uy)
        turn = np.interp(at, marks, turning)
        return [
            scale * size * (along * ux - across * uy) - turn * place[1],
            scale * size * (along * uy + across * ux) + turn * place[0],
        ]

    second = ANGLE + 4 * np.pi
    found = solve_ivp(
        rate, (-2 * np.pi, 6 * np.pi), [0.0, 0.0], "LSODA", second, rtol=1e-7, atol=1e-9,
        max_step=0.05,
    )  # fmt: skip
    least = (1 - np.hypot(*found.y)).min() * 26e-6
    ours = orbit(load, BEARING, speed, viscosity)
    assert_allclose(ours.least_film, least, rtol=2e-3)  # default tolerance: 0.05 % a step
    sharp = orbit(load, BEARING, speed, viscosity, tolerance=1e-5)
    assert_allclose(sharp.least_film, least, rtol=3e-4)
    # Where it is thinnest: the course is flat there, so the angle is loose to a few degrees.
    assert abs(second[np.argmax(np.hypot(*found.y))] - 4 * np.pi - ours.least_angle) < 0.06


def test_thick_oil_that_forgets_slowly_is_followed_to_its_end(monkeypatch):
    # 1 Pa s, a cold morning: each cycle takes off only part of what is left. The same without
    # leaps, as many cycles as it takes.
    bearing, load = Bearing(0.05, 0.019, 10e-6), engine(25.0, 0.2 * GAS)
    quick = orbit(load, bearing, 25.0, 1.0)
    monkeypatch.setattr(orbits, "SLOW", 1.0)
    slow = orbit(load, bearing, 25.0, 1.0, tolerance=5e-5, most_cycles=400)
    assert quick.settled
    assert slow.settled
    assert quick.cycles < 0.5 * slow.cycles
    assert_allclose(quick.least_film, slow.least_film, rtol=0.016)  # worst of 1500 states tried


def test_all_frames_give_one_film():
    films = [
        orbit(engine(60.0, frame=f), BEARING, 60.0, 0.008, tolerance=1e-5).film
        for f in ("space", "rod", "crank")
    ]
    # Loads run straight between their angles in each frame, which is not the same line in all.
    assert_allclose(films[0], films[1], rtol=1e-3)
    assert_allclose(films[0], films[2], rtol=3e-3)


def test_the_path_closes_and_stays_in_the_shell():
    found = orbit(engine(60.0), BEARING, 60.0, 0.008)
    assert found.settled
    assert found.residual <= 0.001
    assert 1 < found.cycles < 3
    assert np.all(np.hypot(found.path[:, 0], found.path[:, 1]) < 1)
    assert_allclose(found.film.min(), found.least_film)
    assert_allclose(found.film, 26e-6 * (1 - np.hypot(*found.path.T)), rtol=1e-12)
    step = np.abs(np.diff(found.film, append=found.film[:1]))
    assert step.max() < 0.2 * 26e-6  # no jump where the last segment meets the first


def test_where_it_begins_does_not_matter():
    one, other = (
        orbit(engine(60.0), BEARING, 60.0, 0.008, tolerance=1e-4, start=s)
        for s in ((0.9, 0.0), (-0.5, 0.5))
    )
    assert_allclose(one.film, other.film, rtol=1e-3)


def test_doubling_all_lengths_and_four_times_the_load_leaves_the_orbit():
    # Similarity: the equation knows load c²/(R² L D µ w) and L/D only.
    small = orbit(engine(60.0), BEARING, 60.0, 0.008)
    load = engine(60.0)
    large = orbit(
        BearingLoad(ANGLE, 4 * load.force, load.turning), Bearing(0.1, 0.038, 52e-6), 60.0, 0.008
    )
    assert_allclose(large.path, small.path, rtol=1e-9, atol=1e-12)
    assert_allclose(large.least_film, 2 * small.least_film, rtol=1e-9)


def test_thinner_oil_makes_a_thinner_film():
    found = orbit(engine(60.0), BEARING, 60.0, np.array([0.004, 0.008, 0.016]))
    assert np.all(np.diff(found.least_film) > 0)


def test_the_short_bearing_overstates_the_film():
    # Check values, D.4: Ocvirk overstates capacity 1.4 to 2.4 times at engine proportions.
    short = orbit(
        engine(60.0), BEARING, 60.0, 0.008, mobility=lambda a, b: short_mobility(a, b, 0.38)
    )
    assert orbit(engine(60.0), BEARING, 60.0, 0.008).least_film < 0.8 * short.least_film


def test_one_by_one_and_side_by_side_agree(monkeypatch):
    speed = np.array([[20.0], [60.0]])
    gas = GAS * np.array([0.1, 0.5, 1.0])[:, None] * np.ones((2, 1, 1))
    load = engine(np.broadcast_to(speed, (2, 3)), gas)
    bearing = Bearing(0.050, np.array([0.019, 0.021, 0.019]), 26e-6)
    monkeypatch.setattr(orbits, "FEW", 0)
    together = orbit(load, bearing, speed, 0.008)
    monkeypatch.setattr(orbits, "FEW", 100)
    alone = orbit(load, bearing, speed, 0.008)
    assert together.film.shape == (2, 3, 720)
    # The two read the film's map on grids of their own.
    assert_allclose(together.least_film, alone.least_film, rtol=2e-3)


def test_blocks_do_not_show(monkeypatch):
    speed = np.linspace(15.0, 110.0, 30)
    load = engine(speed, GAS * np.ones((30, 1)))
    monkeypatch.setattr(orbits, "FEW", 0)
    whole = orbit(load, BEARING, speed, 0.008)
    monkeypatch.setattr(orbits, "BLOCK", 13)
    assert_allclose(orbit(load, BEARING, speed, 0.008).film, whole.film, rtol=1e-9)


def test_plain_numbers_read_the_film_as_arrays_do():
    film = MobilityMap(0.38)
    lone = LoneMarcher(Course(np.ones((1, 4)) + 0j, np.ones(4)), film, 1e-3)
    draw = np.random.default_rng(7)
    gap = 10 ** -draw.uniform(0, 3.2, 2000)
    place = (1 - gap) * np.exp(1j * draw.normal(0, np.repeat([0.1, 2.0], 1000)))
    along, across = film(place.real, place.imag)
    ours = np.array([lone.mobility(p) for p in place.tolist()])
    # Straight lines on two grids of some hundred cells each way.
    assert np.all(np.abs(ours - (along + 1j * across)) < 0.006 * np.abs(along + 1j * across))


@pytest.mark.parametrize("name", ["diameter", "length", "clearance"])
def test_impossible_sizes_are_refused(name):
    sizes = {"diameter": 0.05, "length": 0.019, "clearance": 26e-6} | {name: -1e-6}
    with pytest.raises(ValueError, match=name):
        orbit(engine(60.0), Bearing(**sizes), 60.0, 0.008)


def test_a_standing_engine_and_uneven_segments_are_refused():
    with pytest.raises(ValueError, match="speed"):
        orbit(engine(60.0), BEARING, 0.0, 0.008)
    with pytest.raises(ValueError, match="segments"):
        orbit(engine(60.0), BEARING, 60.0, 0.008, segments=7)


def test_a_load_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="no number"):
        orbit(engine(60.0, GAS * np.nan), BEARING, 60.0, 0.008)
