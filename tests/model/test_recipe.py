"""A recipe file: what makes it whole, and how each fault is named."""

import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark import checks
from witnessmark.errors import UserErrors
from witnessmark.jobs.book import open_book
from witnessmark.model.number import Entry, Number, Saying
from witnessmark.model.plan import Doing
from witnessmark.model.recipe import Part
from witnessmark.model.said import slots
from witnessmark.model.whole_recipe import read_recipe
from witnessmark.units import Kind

BOOK = open_book()
RECIPES = {recipe.file.id: recipe for recipe in BOOK.recipes}
SHARED = (
    BOOK.shared.inspections, BOOK.shared.aborts, BOOK.shared.cautions, BOOK.shared.judging,
)  # fmt: skip
WHOLE = files("witnessmark").joinpath("book", "recipes", "road-boosted-gentle.toml").read_text()
# terms["x"], limits["x"] and settled("x"): a judging number asked for by its name.
ASKED = r'(?:(?:terms|limits)\[|settled\()"([a-z0-9_]+)"'
UNIT = re.compile(
    r"\d\s*(?:rpm|psi|kpa|bar|°|mm\b|µm|in\b|mi\b|miles?\b|km\b|s\b|sec|min\b|minutes?\b|h\b"
    r"|hours?\b|days?\b|%|l\b|qt\b)",
    re.IGNORECASE,
)


def entries(part):
    """Every number and sentence under a part of the book."""
    if isinstance(part, Entry):
        yield part
    if isinstance(part, Entry | Part):
        values = [getattr(part, name) for name in type(part).model_fields]
    elif isinstance(part, dict):
        values = list(part.values())
    elif isinstance(part, tuple):
        values = list(part)
    else:
        return
    for value in values:
        yield from entries(value)


def faults_of(*changes):
    text = WHOLE
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    with pytest.raises(UserErrors) as caught:
        read_recipe(tomllib.loads(text), "mine.toml", tuple(BOOK.shared.judging.judging))
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize("recipe", RECIPES.values(), ids=RECIPES)
def test_every_number_has_a_source_a_reason_and_a_range_that_holds_it(recipe):
    numbers = [e for e in entries(recipe.file) if isinstance(e, Number)]
    assert len(numbers) > 30
    for entry in entries(recipe.file):
        assert entry.why
        assert entry.source in ("published", "common practice", "memory")
        assert entry.cite or entry.source != "published"
    for number in numbers:
        value, low, high = number.quantities()
        assert low.value <= value.value <= high.value


@pytest.mark.parametrize("shared", SHARED, ids=lambda s: type(s).__name__)
def test_the_shared_lists_have_them_too(shared):
    found = list(entries(shared))
    assert len(found) > 10
    assert all(e.why and (e.cite or e.source != "published") for e in found)


def sentences():
    for part in (*(r.file for r in BOOK.recipes), *SHARED):
        yield from (e.said for e in entries(part) if hasattr(e, "said"))


def test_no_number_with_a_unit_hides_in_a_sentence():
    # A number in a sentence has no owner, no range and no unit of the reader's choice.
    # "1,000 rpm" in "for each 1,000 rpm" is the name of a slope, not a limit.
    loose = [s for s in sentences() if UNIT.search(s.replace("each 1,000 rpm", ""))]
    loose = [s for s in loose if "8 h mean" not in s]  # the name of OSHA's way of averaging
    assert not loose


def test_every_slot_of_the_shared_lists_has_its_number():
    for part in SHARED:
        for saying in (e for e in entries(part) if isinstance(e, Saying)):
            plain = [slot for slot in slots(saying.said) if "." not in slot]
            assert set(plain) == set(saying.numbers), saying.said


@pytest.mark.parametrize("recipe", RECIPES.values(), ids=RECIPES)
def test_a_recipe_is_of_one_school_throughout(recipe):
    assert recipe.file.school_why
    worked = [
        step
        for phase in recipe.file.phases
        for step in phase.steps
        if step.doing in (Doing.DRIVE, Doing.LOAD)
    ]
    assert worked
    assert {step.school for step in worked} == {recipe.file.school}


@pytest.mark.parametrize("recipe", RECIPES.values(), ids=RECIPES)
def test_nothing_in_the_bay_asks_for_more_than_its_own_abort_allows(recipe):
    own = {abort.id: abort for abort in recipe.file.aborts}
    aborts = {abort.id: abort for abort in BOOK.shared.aborts.aborts} | own
    stop = aborts["over-speed"].numbers["speed"].quantities()[0].value
    for phase in recipe.file.phases:
        if phase.place == "in the bay":
            asked = [
                n.quantities()[0].value
                for step in phase.steps
                for n in step.numbers.present().values()
                if n.kind is Kind.ROTATIONAL_SPEED
            ]
            assert all(speed <= stop for speed in asked), phase.id


def test_a_step_of_the_other_school_is_refused():
    (fault,) = faults_of(('school = "gentle first"\nsaid', 'school = "load early"\nsaid'))
    assert "never mixed" in fault
    assert "phases 'first-50-miles'" in fault


def test_a_step_that_works_the_engine_names_its_school():
    (fault,) = faults_of(('doing = "drive"\nschool = "gentle first"\n', 'doing = "drive"\n'))
    assert "names no school" in fault


def test_every_fault_is_named_at_once_with_its_place():
    faults = faults_of(
        ('value = "10 s", range = ["10 s", "15 s"]', 'value = "20 s", range = ["10 s", "15 s"]'),
        ('value = "2000 rpm"', 'value = "2000"'),
        ('source = "memory"', 'source = "hearsay"'),
        ('cite = "FAA AC 43.13-1B, paragraph 8-6"\n', ""),
        ("[phases.ceilings]\nengine_speed", "[phases.ceilings]\nengine_sped"),
        ("about {load} throttle", "about {lod} throttle"),
        ('boosted = ["yes"]', 'bosted = ["yes"]'),
    )  # fmt: skip
    for words in (
        "20 s lies outside its own range 10 s to 15 s",
        "'2000' has no unit",
        "'hearsay' is written",
        "published source names its document and paragraph",
        "'engine_sped' is not a name used here; known names are engine_speed, boost",
        "{lod} has no number behind it; numbers that can stand here are from, to, load",
        "'bosted' is not a trait of a build",
    ):
        assert any(words in fault for fault in faults), (words, faults)
    assert len(faults) == 7
    assert all(fault.startswith("mine.toml, ") for fault in faults)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('cam_contact = ["roller", "bucket", "slider"]',
         'cam_contact = ["roller", "flat tappet"]', "'flat tappet' stands alone"),
        ('fuel = ["petrol", "ethanol blend"]', 'fuel = ["petrol", "diesel"]',
         "'diesel' stands alone"),
        ('use = ["road"]\n', "", "no word about use"),
        ('times = { value = 2, range = [1, 3]', 'times = { value = 3, range = [1, 3]',
         "the ladder takes 15.0 min in all, the step says 10 min"),
        ('to = { value = "3800 rpm", range = ["3500 rpm", "4000 rpm"]',
         'to = { value = "4200 rpm", range = ["3500 rpm", "4500 rpm"]',
         "asks for drive at 4200 rpm; the phase's own ceiling is 4000 rpm"),
        ('id = "first-fire"', 'id = "prime"', "the id 'prime' stands there 2 times"),
        ('[[services]]', '[judging.warm_colant]\nvalue = "70 °C"\nrange = ["70 °C", "80 °C"]\n'
         'kind = "temperature"\nsource = "memory"\nwhy = "mine"\n[[services]]',
         "'warm_colant' is not a number any log is judged by"),
        ('kind = "gauge pressure", ', "", "this number must say what it measures"),
    ],
)  # fmt: skip
def test_one_fault_is_named_once(old, new, said):
    (fault,) = faults_of((old, new))
    assert said in fault


def test_the_hour_a_ladder_takes_is_worked_out_not_believed():
    # 2,000 to 4,500 by 500: five rungs up and five down at 30 s are 5 min; twice is 10 min.
    sweep = next(
        step
        for phase in RECIPES["road-boosted-gentle"].file.phases
        for step in phase.steps
        if step.doing is Doing.SWEEP
    )
    n = {name: q.quantities()[0].value for name, q in sweep.numbers.present().items()}
    rungs = (n["to"] - n["from"]) / n["step"]
    assert rungs == pytest.approx(5)
    assert 2 * rungs * n["each"] * n["times"] == pytest.approx(n["time"]) == 600


def test_every_number_a_check_asks_for_is_in_the_book():
    asked = set()
    for source in Path(checks.__path__[0]).rglob("*.py"):
        asked |= set(re.findall(ASKED, source.read_text("utf-8")))
    assert len(asked) > 20
    assert asked <= set(BOOK.shared.judging.judging)


def test_general_rules_of_oil_pressure_and_warmth():
    # Common practice, no source: 10 psi per 1,000 rpm hot; coolant 75 °C and oil 60 °C before
    # load; pressure within 5 s of firing, 10 s the most; overrun under 35 to 40 kPa.
    shown = {name: n.value for name, n in BOOK.shared.judging.judging.items()}
    assert shown["floor_per_1000rpm"] == "10 psi"
    assert (shown["warm_coolant"], shown["warm_oil"]) == ("75 °C", "60 °C")
    assert shown["floor_delay"] == "5 s"
    assert shown["overrun_pressure"] == "40 kPa"
    assert (shown["pull_rise"], shown["overrun_fall"]) == ("800 rpm", "500 rpm")


def keys_to_anything(data, path=()):
    """Paths to every table, list and value of a parsed file."""
    items = data.items() if isinstance(data, dict) else enumerate(data)
    for key, value in items:
        yield (*path, key)
        if isinstance(value, dict | list):
            yield from keys_to_anything(value, (*path, key))


PLACES = list(keys_to_anything(tomllib.loads(WHOLE)))
ODD = (1, -1, 0.5, True, "", "x", "{", "{a.b}", "{zz}", [], {}, [1], [{}], {"a": 1}, "1e999 rpm",
       float("nan"), "9" * 400)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(path=st.sampled_from(PLACES), odd=st.sampled_from(ODD))
def test_whatever_stands_anywhere_is_read_or_named(path, odd):
    data = tomllib.loads(WHOLE)
    here = data
    for key in path[:-1]:
        here = here[key]
    here[path[-1]] = odd
    try:
        read_recipe(data, "mine.toml", tuple(BOOK.shared.judging.judging))
    except UserErrors as error:
        assert all(str(fault).startswith("mine.toml") for fault in error.faults)
