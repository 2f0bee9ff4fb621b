"""The job behind the film's faces, and the sentences a plan takes from it."""

import re
from functools import cache

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.jobs.engines import engine
from tests.lubrication.builds import heron, least, with_row
from tests.lubrication.films import coarse_maps
from witnessmark.errors import UserError
from witnessmark.jobs.film import FilmAsked, ceiling_films, make_film, read_asked
from witnessmark.jobs.plan import make_plan
from witnessmark.model.authority import SourceKind
from witnessmark.units import Kind

C = 273.15


@pytest.fixture(scope="module", autouse=True)
def few_points():
    with coarse_maps():
        yield


@cache
def made(asked: FilmAsked | None = None):
    return make_film(heron(), asked)


def answer(found, question: str) -> str:
    return next(one for one in found.answers if one.question == question).said.read(found.prefer)


def test_every_answer_is_a_whole_sentence_with_its_numbers():
    found = made()
    assert len(found.answers) == 8
    for one in found.answers:
        said = one.said.read(found.prefer)
        assert said.endswith(".")
        assert "µm" in said
        assert "not shown" not in said
        assert "nan" not in said


def test_the_worst_point_is_named_with_where_and_why():
    found = made()
    said, worst = answer(found, "Thinnest of all"), found.map.worst
    assert worst.bearing in said
    assert f"{worst.film * 1e6:.2f} µm" in said
    assert f"{worst.speed * 60:,.0f} rpm" in said
    assert "decides there" in said
    assert "for 90 of 100 such builds" in said


def test_the_marks_are_lugging_and_the_ceilings_of_the_plan():
    found, plan = made(), make_plan(heron())
    titles = [mark.title for mark in found.marks.marks]
    assert titles[0].startswith("Lugging")
    assert titles[1:] == [p.title for p in plan.phases if "engine_speed" in p.ceilings]
    film = np.array([mark.film for mark in found.marks.marks])
    cold, warm, hot, very_hot, fuel = film.T
    assert np.all((cold > warm) & (warm > hot) & (hot > very_hot) & (hot > fuel))


def test_fuel_in_the_oil_thins_the_whole_map():
    thin = made(FilmAsked(fuel=0.05))
    reached = thin.map.reached
    assert np.all(thin.map.least[reached] < made().map.least[reached])
    assert_allclose(thin.marks.fuel[-1], 0.05)
    # One oil in one sentence: the share lugging leaves is about the same on either.
    shares = [re.search(r"(\d+) % of", answer(one, "Lugging"))[1] for one in (thin, made())]
    assert abs(int(shares[0]) - int(shares[1])) <= 5


def test_an_oil_temperature_asked_for_is_the_one_of_the_table():
    asked = made(FilmAsked(oil_temperature=110 + C))
    assert_allclose(asked.map.temperature[asked.shown], 110 + C)
    assert 110 + C in asked.marks.oil
    assert_allclose(made().map.temperature[made().shown], 120 + C)


def test_without_a_plan_no_ceilings_are_drawn_and_it_is_said_why():
    # Its rings are too tight for its boost: a plan is refused, films are not.
    tight = heron(('"0.46 mm", "0.46 mm"', '"0.10 mm", "0.10 mm"'))
    with pytest.raises(UserError):
        make_plan(tight)
    found = make_film(tight)
    assert found.ceilings == ()
    assert "no plan could be made" in found.no_plan
    assert [mark.title for mark in found.marks.marks] == ["Lugging, pedal down"]
    assert found.map.worst is not None


def test_an_engine_whose_mains_cannot_be_told_has_films_of_its_rods():
    found = make_film(least())
    assert "firing order" in found.mains_missing
    assert all(name.startswith("rod") for name in found.map.bearings)


def test_a_diesel_is_mapped_over_its_fuel():
    found = make_film(engine(fuel="diesel"))
    assert found.map.loads[0].kind is Kind.FRACTION
    assert "of the fuel" in answer(found, "Why a ceiling on load")
    assert found.map.worst.film > 0


# Sentences for the plan


def test_every_phase_with_a_ceiling_on_speed_has_its_sentence():
    plan = make_plan(heron())
    lines = ceiling_films(heron(), plan)
    assert set(lines) == {p.id for p in plan.phases if "engine_speed" in p.ceilings}
    for phase in plan.phases:
        if phase.id not in lines:
            continue
        line, said = lines[phase.id], lines[phase.id].said.read(heron().prefer)
        assert line.authority.source is SourceKind.DERIVED
        assert f"{phase.ceilings['engine_speed'].value.value * 60:,.0f} rpm" in said
        assert "times the roughness" in said
        assert "no guarantee" in line.why
        assert ("turning free" in said) == (phase.place == "in the bay")
        assert ("Lugging" in said) == (phase.place != "in the bay")


def test_the_sentences_give_the_films_of_the_marks():
    lines = ceiling_films(heron(), make_plan(heron()))
    by_title = {mark.title: mark for mark in made().marks.marks}
    for one in made().ceilings:
        hot = by_title[one.title].film[2]  # the plan's hottest oil is the book's hot oil
        assert_allclose(lines[one.phase].said.values["film"].value, hot)


def test_a_higher_ceiling_leaves_the_thinner_film_beyond_the_ridge():
    lines = ceiling_films(heron(), make_plan(heron()))
    driven = ("first-50-miles", "50-to-250-miles", "250-to-750-miles", "tuning")
    film = [lines[phase].said.values["film"].value for phase in driven]
    assert np.all(np.diff(film) < 0)


def test_a_sheet_no_film_can_be_worked_out_for_does_not_stop_the_plan():
    odd = with_row(heron(), "rod_bearings", length=0.5e-3)
    lines = ceiling_films(odd, make_plan(heron()))
    assert len(lines) == 6
    said = lines["tuning"].said.read(odd.prefer)
    assert "not shown" in said
    assert "times the journal's diameter" in said


# What people type


def test_what_is_typed_is_read():
    assert read_asked("110C", "5%") == FilmAsked(pytest.approx(110 + C), pytest.approx(0.05))
    assert read_asked(None, None) == read_asked(" ", "") == FilmAsked(None, 0.0)


@pytest.mark.parametrize(
    ("oil", "fuel", "said"),
    [
        ("-10C", None, "0 °C to 150 °C is wanted"),
        ("400F", None, "0 °C to 150 °C is wanted"),
        ("110", None, "'110' has no unit"),
        (None, "50%", "0 to 20 % is wanted"),
        (None, "-1%", "0 to 20 % is wanted"),
        (None, "5", "'5' has no unit"),
    ],
)
def test_what_cannot_be_worked_out_is_refused(oil, fuel, said):
    with pytest.raises(UserError) as caught:
        read_asked(oil, fuel)
    assert said in str(caught.value)
    assert caught.value.where == ("--oil-temp" if oil else "--fuel")
