"""The plan's own oil pressures: carried, frozen, calibrated, or missing with the reason."""

import json
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.lubrication.builds import BOOK, heron
from witnessmark.errors import UserError
from witnessmark.jobs.band import Known, make_band, make_table
from witnessmark.jobs.book import open_book
from witnessmark.jobs.frozen import drift, freeze, plan_hash, thaw
from witnessmark.jobs.plan import make_plan, with_band
from witnessmark.jobs.pressure_lines import OWN
from witnessmark.jobs.recipe_plan import recipe_plan
from witnessmark.lubrication.band import Scatter, drawn_builds
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.lubrication.system import PARAMETERS
from witnessmark.model.authority import SourceKind
from witnessmark.units import Preferences

METRIC = Preferences()
NO_PRESSURE = heron(('turbo = "1.0 mm"', 'turbo = "8 mm"'))


@pytest.fixture(scope="module")
def plan():
    return make_plan(heron())


@pytest.fixture(scope="module")
def band():
    return make_band(heron()).band


def test_the_plan_carries_the_band_of_its_build(plan, band):
    # The plan's table is coarser than the whole band. Where people run engines it is as good:
    # senders are read to 3 kPa, and the band there is 200 kPa wide.
    warm = band.temperature >= 293.15
    whole = band.pressure[:, :, warm]
    found = plan.band.at(band.speed[:, None], band.temperature[warm])
    five = np.stack([found.lowest, found.low, found.middle, found.high, found.highest])
    miss = five - whole
    assert np.sqrt(np.mean(miss**2)) < 5e3
    assert np.abs(miss).max() < 25e3
    assert plan.band.basis == "from the build sheet alone"
    assert plan.band.authority.source is SourceKind.DERIVED
    assert plan.no_band == ""


def test_sound_builds_are_seldom_accused(plan):
    # Builds drawn afresh, not those the band was made of. By its meaning 0.5 % lie under the
    # floor at one state; the docs say 3 in 100 somewhere, and as many over the top.
    prior = prior_of_build(heron(), BOOK).prior
    fresh = np.random.default_rng(7).standard_normal((1000, len(PARAMETERS)))
    speed, oil = np.linspace(950, 6500, 8)[:, None] / 60, np.linspace(20, 120, 5) + 273.15
    shown = prior.system.vary(prior.by(fresh[:, None, None, :])).gauge(speed, oil)
    expected = plan.band.at(speed, oil)
    for beyond in (shown < expected.lowest, shown > expected.highest):
        assert 0.001 < beyond.mean() < 0.012
        assert beyond.any(axis=(1, 2)).mean() < 0.05
    assert 0.03 < (shown < expected.low).mean() < 0.07


def test_the_band_is_a_small_part_of_the_frozen_plan(plan):
    frozen = freeze(plan)
    assert len(json.dumps(frozen["plan"]["band"], indent=2)) < 60_000
    assert thaw(json.loads(json.dumps(frozen))) == plan


def test_a_plan_frozen_before_there_was_a_band_is_refused_with_the_remedy(plan):
    body = freeze(plan)["plan"]
    del body["band"]
    old = {"format": "witnessmark plan 1", "sha256": plan_hash(body), "plan": body}
    with pytest.raises(UserError, match="made by this version is wanted"):
        thaw(old)


def test_numbers_changed_since_are_told_and_the_plan_keeps_its_own(plan):
    assert drift(plan, open_book()) is None
    moved = replace(plan, band=replace(plan.band, book_sha256="0" * 64))
    said = drift(moved, open_book()) or ""
    assert "book/lubrication.toml" in said
    assert "keeps its own pressures (from the build sheet alone)" in said


def test_abort_lines_say_this_engine_first_and_the_recipe_beside(plan):
    general = {abort.id: abort.line for abort in recipe_plan(heron()).aborts}
    own = {abort.id: abort for abort in plan.aborts if abort.general}
    assert own.keys() == OWN.keys()
    for name, abort in own.items():
        assert abort.general == general[name]
        assert abort.line.authority == plan.band.authority
    hot = own["pressure-hot"].line.said
    found = plan.band.at(950 / 60, 393.15)  # idle on the sheet; hot oil in book/film.toml
    assert_allclose(hot.values["own_idle_low"].value, found.lowest)
    assert "at idle" in hot.read(METRIC)
    assert "on oil of 120 °C (from the build sheet alone)" in hot.read(METRIC)


def test_every_ceiling_on_speed_has_its_film_line(plan):
    for phase in plan.phases:
        assert (phase.film is not None) == ("engine_speed" in phase.ceilings)
    assert "thinnest" in plan.phase("first-50-miles").film.said.read(METRIC)


def test_a_review_needs_no_films():
    assert all(phase.film is None for phase in make_plan(heron(), films=False).phases)


def test_a_build_without_a_band_gets_its_plan_and_the_reason():
    plan = make_plan(NO_PRESSURE, films=False)
    assert plan.band is None
    assert "turbo" in plan.no_band
    assert all(abort.general is None for abort in plan.aborts)
    assert thaw(json.loads(json.dumps(freeze(plan)))) == plan


def test_a_calibrated_engine_has_its_own_narrower_band(plan):
    prior = prior_of_build(heron(), BOOK).prior
    known = Known(prior, 0.1 * drawn_builds(200), "calibrated on 2 logs of this engine",
                  Scatter(3e3, 0.012, 0.5))  # fmt: skip
    tight = with_band(plan, heron(), known).band
    assert tight.basis == "calibrated on 2 logs of this engine"
    assert "calibrated on 2 logs" in tight.authority.cite
    assert tight.lag == 0.5
    at = (2000 / 60, 363.15)
    narrow, wide = tight.at(*at), plan.band.at(*at)
    assert narrow.highest - narrow.lowest < 0.5 * (wide.highest - wide.lowest)
    # However sure the fit, a reading misses it by what readings miss fits by: 2.576 standard
    # deviations to either side (the normal quantile at 99.5 %, NIST handbook 1.3.6.7.1).
    sure = Known(prior, 0 * drawn_builds(10), "calibrated on 9 logs of this engine", Scatter(3e3))
    line = make_table(heron(), sure).at(*at)
    assert_allclose(line.highest - line.lowest, 2 * 2.576 * 3e3, rtol=0.02)


def test_another_build_sheet_is_refused(plan):
    other = heron(('serial = "TS-0417"', 'serial = "TS-9"'))
    with pytest.raises(UserError, match="not the one the plan was made from"):
        with_band(plan, other)
