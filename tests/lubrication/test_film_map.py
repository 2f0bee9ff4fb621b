"""The map: its worst point is its least, and its spread follows what is not known."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.lubrication.builds import book_with
from tests.lubrication.films import FILM_BOOK, C, basis, film_book_with
from witnessmark.lubrication.film_map import film_map, rough_of, speeds_of_build
from witnessmark.lubrication.gas_of_build import loads_of_build

OILS = np.array([40.0, 120.0]) + C


def made(of=None):
    used = of or basis()
    return film_map(used, loads_of_build(used.sheet, used.book, 45e3), OILS)


@pytest.fixture(scope="module")
def found():
    return made()


def test_the_worst_point_is_the_least_of_the_map(found):
    worst, least = found.worst, found.least
    assert worst.film == np.nanmin(least)
    s = int(np.flatnonzero(found.speed == worst.speed)[0])
    l = found.loads.index(worst.load)  # noqa: E741
    t = int(np.flatnonzero(found.temperature == worst.temperature)[0])
    b = found.bearings.index(worst.bearing)
    assert least[s, l, t] == worst.film == found.film[b, s, l, t]
    assert found.thinnest[s, l, t] == b
    assert found.angle[b, s, l, t] == worst.angle
    assert worst.ratio == worst.film / found.rough.run_in
    assert worst.temperature == OILS[1]  # nothing is thinner when cold


def test_what_is_out_of_reach_is_never_the_worst(found):
    assert np.all(np.isnan(found.least[~found.reached]))
    assert np.all(np.isfinite(found.least[found.reached]))
    # A turbo has no boost at idle, whatever film that would leave.
    assert not found.reached[0, -1]
    assert found.reached[0, found.full]
    assert found.reached[-1].all()
    assert found.not_shown == 0


def test_a_bearing_that_is_not_shown_hides_the_least_of_its_state(found):
    film = found.film.copy()
    film[0, 1, 1, 1] = np.nan
    hidden = replace(found, film=film)
    assert np.isnan(hidden.least[1, 1, 1])
    assert hidden.not_shown == 1


def test_the_speeds_run_from_idle_to_redline_in_even_steps():
    speed = speeds_of_build(basis().sheet, FILM_BOOK) * 60
    assert_allclose(speed, [950, *range(1500, 7001, 500)])


def test_the_spread_holds_the_film_and_its_causes_make_up_the_whole(found):
    worst = found.worst
    assert worst.low < worst.film < worst.high
    assert worst.ratio_low < worst.low / found.rough.run_in
    assert worst.ratio_high > worst.high / found.rough.run_in
    shares = [share for _, share in worst.causes]
    assert_allclose(sum(shares), 1)
    assert shares == sorted(shares, reverse=True)
    assert {name for name, _ in worst.causes} == {
        "clearance", "viscosity", "film temperature", "burn", "weights",
    }  # fmt: skip


def test_the_spread_grows_with_the_error_of_clearances_and_of_viscosity(found):
    wide = {"value": "20 µm", "range": ("20 µm", "20 µm")}
    loose = made(replace(basis(), circuit=book_with("bearings", clearance_error=wide))).worst
    assert loose.film == found.worst.film
    assert loose.high / loose.low > 1.02 * found.worst.high / found.worst.low
    unsure = made(replace(basis(), viscosity_sd=2 * basis().viscosity_sd)).worst
    assert unsure.high / unsure.low > 1.05 * found.worst.high / found.worst.low


def test_roughness_is_the_books_and_a_new_shell_the_rougher():
    rough = rough_of(FILM_BOOK)
    # Variances add: 0.15 and 0.35 µm; 0.15 and 0.7 µm.
    assert_allclose((rough.run_in, rough.new), (np.hypot(0.15, 0.35) * 1e-6,
                                                np.hypot(0.15, 0.7) * 1e-6))  # fmt: skip
    rougher = film_book_with("film", shell={"value": "0.6 µm", "range": ("0.5 µm", "0.7 µm")})
    assert rough_of(rougher).run_in > rough.run_in


def test_at_lugging_gas_decides_and_at_the_redline_weight():
    slow = basis().sheet.model_copy(
        update={"layout": basis().sheet.layout.model_copy(update={"redline": 1800 / 60})}
    )
    assert made(replace(basis(), sheet=slow)).worst.by_gas
    fast = basis().sheet.model_copy(
        update={"layout": basis().sheet.layout.model_copy(update={"idle_speed": 6000 / 60})}
    )
    assert not made(replace(basis(), sheet=fast)).worst.by_gas
