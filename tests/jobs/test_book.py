"""The book: what an engine gets, what a shop may do with it, and that nothing changes unseen."""

import tomllib
from copy import deepcopy
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.jobs.engines import FOLLOWER, FUEL, INDUCTION, RING, SORTS, USE, engine
from witnessmark.errors import UserError, UserErrors
from witnessmark.jobs import book as jobs_book
from witnessmark.jobs.book import (
    check_recipe,
    copy_recipe,
    load_recipe,
    open_book,
    recipe_hash,
)
from witnessmark.jobs.choose import choose
from witnessmark.jobs.recipe_reference import PAGE, recipe_reference
from witnessmark.model.number import TRAITS

BOOK = open_book()
SCHOOLS = (None, "gentle first", "load early")


def chosen(sheet, **how):
    return choose(sheet, BOOK, **how).choice


def test_the_book_holds_what_was_asked_for():
    ids = {recipe.file.id for recipe in BOOK.recipes}
    assert ids >= {
        "road-boosted-gentle", "road-boosted-load-early", "road-natural-gentle",
        "road-natural-load-early", "flat-tappet", "hard-rings", "diesel", "race-dyno",
        "race-dyno-flat-tappet",
    }  # fmt: skip


@pytest.mark.parametrize("sort", SORTS, ids="-".join)
def test_every_sort_of_engine_gets_one_recipe_for_its_cam_and_fuel(sort):
    sheet = engine(*sort)
    found = choose(sheet, BOOK).recipe.file
    when = found.applies.when
    use, _, follower, fuel, _ = sort
    assert when["use"] == (use,)
    assert ("flat tappet" in when["cam_contact"]) == (follower == "flat tappet")
    assert ("diesel" in when["fuel"]) == (fuel == "diesel")


@settings(max_examples=60, deadline=None)  # a sheet is read each time
@given(
    sort=st.tuples(*map(st.sampled_from, (USE, INDUCTION, FOLLOWER, FUEL, RING))),
    school=st.sampled_from(SCHOOLS),
)
def test_a_school_asked_for_is_given_or_refused_never_bent(sort, school):
    try:
        choice = chosen(engine(*sort), school=school)
    except UserError as error:
        assert school is not None
        assert "recipes that fit are" in str(error)
        return
    assert school in (None, choice.school)
    assert choice.school_why
    assert choice.chosen_why
    assert len({choice.recipe, *(text.split()[0] for text in choice.set_aside)}) == 1 + len(
        choice.set_aside
    )


def test_without_a_word_the_school_is_gentle_and_says_so():
    choice = chosen(engine())
    assert choice.recipe == "road-boosted-gentle"
    assert choice.school_why.startswith("Nobody named a school, so gentle first is taken")
    assert any("road-boosted-load-early" in text for text in choice.set_aside)


def test_the_build_sheet_may_name_school_or_recipe():
    early = engine(
        "road", "turbocharged", "bucket", "petrol", "steel, nitrided",
        ('[use]\n', '[use]\nschool = "load early"\n'),
    )  # fmt: skip
    choice = chosen(early)
    assert choice.recipe == "road-boosted-load-early"
    assert "asked for by the build sheet" in choice.school_why
    named = engine(
        "road", "turbocharged", "bucket", "petrol", "steel, nitrided",
        ('[use]\n', '[use]\nrecipe = "road-boosted-load-early"\n'),
    )  # fmt: skip
    assert chosen(named).chosen_why.startswith("Named on the build sheet.")
    assert chosen(named, recipe="road-boosted-gentle").chosen_why.startswith("Named by you.")


def test_the_cam_goes_before_the_rings():
    choice = chosen(engine("road", "turbocharged", "flat tappet", "petrol", "steel, chrome-faced"))
    assert choice.recipe == "flat-tappet"
    assert any(text.startswith("hard-rings is set aside by the cam") for text in choice.set_aside)


def test_hard_rings_go_before_boost():
    choice = chosen(engine("road", "turbocharged", "bucket", "petrol", "steel, chrome-faced"))
    assert choice.recipe == "hard-rings"
    assert any(text.startswith("road-boosted-gentle fits too") for text in choice.set_aside)


@pytest.mark.parametrize(
    ("sort", "name", "said"),
    [
        (("road", "turbocharged", "flat tappet", "petrol", "cast iron"), "road-boosted-gentle",
         "not written for this engine (flat tappet cam)"),
        (("road", "natural", "bucket", "diesel", "cast iron"), "road-natural-gentle",
         "not written for this engine (diesel)"),
        (("race only", "natural", "bucket", "petrol", "cast iron"), "road-boosted-gentle",
         "not written for this engine (race only use, not boosted)"),
        (("road", "turbocharged", "bucket", "petrol", "cast iron"), "road-bosted-gentle",
         "known recipes are"),
    ],
)  # fmt: skip
def test_a_recipe_that_does_not_fit_is_refused_by_name(sort, name, said):
    with pytest.raises(UserError) as caught:
        chosen(engine(*sort), recipe=name)
    assert said in str(caught.value)


def test_a_school_against_a_named_recipe_is_refused():
    with pytest.raises(UserError, match="schools are never mixed"):
        chosen(engine(), recipe="road-boosted-gentle", school="load early")


# What a shop does


def test_a_copy_keeps_its_comments_works_by_path_and_is_the_shops_own(tmp_path):
    path = copy_recipe("road-boosted-gentle", tmp_path, "tarn-boosted", "Tarn Street Engines")
    shipped = BOOK.find("road-boosted-gentle")
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# Tarn Street Engines: copied from 'road-boosted-gentle'")
    comments = [line for line in shipped.text.splitlines() if line.startswith("#")]
    assert all(line in text for line in comments)
    choice = chosen(engine(), recipe=path)
    assert (choice.recipe, choice.owner) == ("tarn-boosted", "Tarn Street Engines")
    assert choice.sha256 != shipped.sha256


def test_a_shops_folder_goes_before_ours(tmp_path):
    copy_recipe("road-boosted-gentle", tmp_path, "tarn-boosted", "Tarn Street Engines")
    choice = choose(engine(), open_book(tmp_path)).choice
    assert choice.recipe == "tarn-boosted"
    assert any("the shop's own recipe goes before" in text for text in choice.set_aside)


def test_two_shop_recipes_that_fit_alike_are_not_chosen_by_chance(tmp_path):
    for name in ("tarn-one", "tarn-two"):
        copy_recipe("road-boosted-gentle", tmp_path, name, "Tarn Street Engines")
    with pytest.raises(UserError, match="tarn-one and tarn-two fit this engine equally well"):
        choose(engine(), open_book(tmp_path))


@pytest.mark.parametrize(
    ("new_id", "owner", "said"),
    [
        ("road-boosted-load-early", "Tarn Street Engines", "belongs to"),
        ("Tarn Boosted", "Tarn Street Engines", "id"),
        ("tarn-boosted", "Witnessmark default", "the owner is still"),
    ],
)
def test_a_copy_needs_a_name_and_an_owner_of_its_own(tmp_path, new_id, owner, said):
    with pytest.raises(UserError, match=said):
        copy_recipe("road-boosted-gentle", tmp_path, new_id, owner)
    assert not list(tmp_path.iterdir())


def test_a_copy_never_overwrites(tmp_path):
    copy_recipe("diesel", tmp_path, "tarn-diesel", "Tarn Street Engines")
    with pytest.raises(UserError, match="already there"):
        copy_recipe("diesel", tmp_path, "tarn-diesel", "Tarn Street Engines")


def test_an_edited_shipped_recipe_that_kept_its_id_is_refused(tmp_path):
    text = BOOK.find("diesel").text.replace('"3000 rpm", range', '"3200 rpm", range', 1)
    path = tmp_path / "diesel.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UserError, match="an id of its own"):
        load_recipe(path)


def test_every_fault_of_every_file_in_a_folder_is_named(tmp_path):
    one = copy_recipe("diesel", tmp_path, "tarn-diesel", "Tarn Street Engines")
    two = copy_recipe("hard-rings", tmp_path, "tarn-rings", "Tarn Street Engines")
    one.write_text(one.read_text("utf-8").replace('"memory"', '"hearsay"', 2), "utf-8")
    two.write_text("id = 'x", "utf-8")
    with pytest.raises(UserErrors) as caught:
        open_book(tmp_path)
    where = [fault.where.split(",")[0] for fault in caught.value.faults]
    assert where == ["tarn-diesel.toml", "tarn-diesel.toml", "tarn-rings.toml"]
    assert len(check_recipe(one)) == 2


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"%PDF-1.7", b"", b"[[[[", b"id = 1"])
def test_a_file_that_is_no_recipe_gives_a_plain_fault(tmp_path, content):
    path = tmp_path / "x.toml"
    path.write_bytes(content)
    assert check_recipe(path)
    assert check_recipe(tmp_path / "missing.toml")


# Nothing changes silently


def leaves(data, path=()):
    """Paths to every word, number and flag of a parsed file."""
    if isinstance(data, dict | list):
        items = data.items() if isinstance(data, dict) else enumerate(data)
        for key, value in items:
            yield from leaves(value, (*path, key))
    else:
        yield path


def with_change(data, path):
    data = deepcopy(data)
    here = data
    for key in path[:-1]:
        here = here[key]
    old = here[path[-1]]
    if isinstance(old, bool):
        here[path[-1]] = not old
    else:
        here[path[-1]] = f"{old}." if isinstance(old, str) else old + 1
    return data


@pytest.mark.parametrize("recipe", BOOK.recipes, ids=lambda r: r.file.id)
def test_the_hash_changes_when_anything_in_the_recipe_does(recipe):
    data = tomllib.loads(recipe.text)
    assert recipe_hash(data) == recipe.sha256
    paths = list(leaves(data))
    values = [path for path in paths if "value" in path or "range" in path]
    assert len(values) > 90
    hashes = {recipe_hash(with_change(data, path)) for path in values[::7] + paths[::29]}
    assert recipe.sha256 not in hashes


@pytest.mark.parametrize("name", ["inspections", "aborts", "cautions", "judging", "schools"])
def test_the_hash_changes_when_a_shared_list_does(name, monkeypatch):
    data = tomllib.loads(BOOK.find("diesel").text)
    before = recipe_hash(data)
    shared = jobs_book._shared_data()
    path = list(leaves(shared[name]))[-1]
    changed = {**shared, name: with_change(shared[name], path)}
    monkeypatch.setattr(jobs_book, "_shared_data", lambda: changed)
    assert recipe_hash(data) != before


def test_comments_and_layout_do_not_change_the_hash():
    text = BOOK.find("diesel").text
    assert recipe_hash(tomllib.loads("# mine\n\n" + text)) == BOOK.find("diesel").sha256


def test_the_book_is_data_only():
    folder = files("witnessmark").joinpath("book")
    names = [e.name for e in (*folder.iterdir(), *folder.joinpath("recipes").iterdir())]
    assert {name.rpartition(".")[2] for name in names if "." in name} == {"toml"}


def test_the_reference_page_is_current():
    page = Path(__file__).parents[2] / "docs" / "reference" / PAGE
    remake = "remake it: python -m witnessmark.jobs.recipe_reference docs/reference"
    assert page.read_text(encoding="utf-8") == recipe_reference(), remake


def test_the_reference_names_every_recipe_trait_and_judging_number():
    page = recipe_reference()
    assert all(f"`{recipe.file.id}`" in page for recipe in BOOK.recipes)
    assert all(f"| {trait} |" in page for trait in TRAITS)
    assert all(f"| `{name}` |" in page for name in BOOK.shared.judging.judging)
