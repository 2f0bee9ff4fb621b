"""A frozen plan comes back as it was, or not at all."""

import json
import math
from copy import deepcopy
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.jobs.engines import SORTS, engine
from witnessmark.errors import UserError
from witnessmark.jobs.book import Book, copy_recipe, open_book
from witnessmark.jobs.frozen import drift, freeze, plan_hash, thaw
from witnessmark.jobs.plan import make_plan

BOOK = open_book()
PLAN = make_plan(engine())
FROZEN = freeze(PLAN)
TEXT = json.dumps(FROZEN, ensure_ascii=False)


@pytest.mark.parametrize("sort", SORTS[::17], ids="-".join)
def test_a_plan_comes_back_the_same_through_json(sort):
    # Films are the same for every sort of plan; the demo's come back with them below.
    plan = make_plan(engine(*sort), films=False)
    again = thaw(json.loads(json.dumps(freeze(plan), ensure_ascii=False)))
    assert again == plan
    assert freeze(again)["sha256"] == freeze(plan)["sha256"]


def test_a_plan_with_its_films_comes_back_the_same():
    again = thaw(json.loads(TEXT))
    assert again == PLAN
    assert freeze(again)["sha256"] == FROZEN["sha256"]


def places(data, path=()):
    if isinstance(data, dict | list):
        items = data.items() if isinstance(data, dict) else enumerate(data)
        for key, value in items:
            yield from places(value, (*path, key))
    else:
        yield path


@settings(max_examples=200, deadline=None)
@given(path=st.sampled_from(list(places(FROZEN))))
def test_any_changed_value_is_refused(path):
    changed = json.loads(TEXT)
    here = changed
    for key in path[:-1]:
        here = here[key]
    old = here[path[-1]]
    text = isinstance(old, str | None)
    here[path[-1]] = f"{old} " if text else math.nextafter(old, math.inf)  # the least change
    with pytest.raises(UserError, match=r"changed after it was made|not a frozen plan"):
        thaw(changed)


@settings(max_examples=200, deadline=None)
@given(at=st.integers(0, len(TEXT) - 1), letter=st.sampled_from('0 x"}'))
def test_any_changed_byte_is_refused_unless_it_says_the_same(at, letter):
    changed = TEXT[:at] + letter + TEXT[at + 1 :]
    try:
        data = json.loads(changed)
    except ValueError:
        return  # no longer JSON: the face says so
    if data == FROZEN:
        assert thaw(data) == PLAN
    else:
        with pytest.raises(UserError):
            thaw(data)


@pytest.mark.parametrize("data", [{}, [], None, 3, {"format": "witnessmark plan 1"}])
def test_what_is_no_plan_is_refused(data):
    with pytest.raises(UserError):
        thaw(data)


def test_a_plan_with_an_honest_hash_and_a_hole_is_refused():
    body = deepcopy(FROZEN["plan"])
    del body["phases"][0]["steps"]
    with pytest.raises(UserError, match="whole plan"):
        thaw({"format": FROZEN["format"], "sha256": plan_hash(body), "plan": body})


def test_an_unchanged_book_has_not_drifted():
    assert drift(PLAN, BOOK) is None


def test_a_recipe_edited_after_the_plan_is_told(tmp_path):
    path = copy_recipe("road-boosted-gentle", tmp_path, "tarn-boosted", "Tarn Street Engines")
    plan = make_plan(engine(), path)
    assert drift(plan, open_book(tmp_path)) is None
    assert "so it was not compared" in (drift(plan, BOOK) or "")
    text = path.read_text("utf-8")
    path.write_text(text.replace('to = { value = "3800 rpm"', 'to = { value = "3700 rpm"'), "utf-8")
    said = drift(plan, open_book(tmp_path))
    assert said is not None
    assert "changed without a new version" in said
    assert plan.choice.sha256[:12] in said
    newer = path.read_text("utf-8").replace('version = "1"', 'version = "2"')
    path.write_text(newer, "utf-8")
    assert "is now version 2" in (drift(plan, open_book(tmp_path)) or "")


def test_a_recipe_taken_away_is_told():
    gone = replace(BOOK, recipes=())
    assert isinstance(gone, Book)
    assert "no longer in the book" in (drift(PLAN, gone) or "")


@pytest.mark.parametrize("hole", ["judging number", "slot"])
def test_a_plan_of_another_version_is_refused_not_stumbled_over(hole):
    body = deepcopy(FROZEN["plan"])
    if hole == "slot":
        body["fuel"][0]["said"] = {"text": "Fill in {something}.", "values": {}}
    else:
        del body["limits"]["idle_top"]  # follows from the build sheet
    with pytest.raises(UserError, match="something" if hole == "slot" else "no idle_top"):
        thaw({"format": FROZEN["format"], "sha256": plan_hash(body), "plan": body})


def test_a_plan_older_than_a_number_is_judged_by_todays_and_says_so():
    body = deepcopy(FROZEN["plan"])
    del body["limits"]["warm_oil"]
    thawed = thaw({"format": FROZEN["format"], "sha256": plan_hash(body), "plan": body})
    assert thawed.limits["warm_oil"] == PLAN.limits["warm_oil"]
    assert "older than 1 of the numbers" in (drift(thawed, BOOK) or "")
