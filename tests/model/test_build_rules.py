import re

import pytest

from witnessmark.errors import UserError, UserErrors
from witnessmark.model.build_rules import default_rules, read_rules
from witnessmark.model.build_sheet.assume import fillings
from witnessmark.units import Kind, parse

HEAD = 'owner = "Tarn Street Engines"\nversion = "2"\n'
WINDOW = """
[[windows]]
path = "layout.bore"
item = "bore"
least = "30 mm"
most = "200 mm"
why = "because the test says so"
source = "common practice"
"""
NUMBERS = (
    '[numbers.x]\nkind = "ratio"\nvalue = 1\nrange = [1, 2]\nwhy = "so there"\nsource = "memory"\n'
)


def test_a_shops_file():
    rules = read_rules(HEAD + WINDOW + NUMBERS, "ours.toml")
    (window,) = rules.windows
    assert window.ends == pytest.approx((0.030, 0.200))
    assert window.authority(rules.owner).owner == "Tarn Street Engines"
    assert rules.limit("x").value.value == 1


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ('"layout.bore"', '"layout.boar"', "layout.boar"),
        ('"30 mm"', '"30 psi"', "psi"),
        ('"30 mm"', '"300 mm"', "over"),
        ('source = "common practice"', 'source = "published"', "cited"),
        ('source = "common practice"', 'source = "hearsay"', "hearsay"),
        ("item =", "itme =", "itme"),
    ],
)
def test_faults_of_a_shops_file(old, new, found):
    with pytest.raises(UserErrors) as caught:
        read_rules(HEAD + WINDOW.replace(old, new) + NUMBERS, "ours.toml")
    assert found in str(caught.value)
    assert all(fault.where.startswith("ours.toml") for fault in caught.value.faults)


def test_a_file_that_is_no_toml():
    with pytest.raises(UserError, match=re.escape("ours.toml")):
        read_rules("owner = ", "ours.toml")


def test_every_window_of_the_book_reads():
    rules = default_rules()
    for window in rules.windows:
        least, most = window.ends
        assert least <= most, window.path
    assert {"second_over_top", "tyre_mismatch"} <= rules.numbers.keys()


@pytest.mark.parametrize(
    ("path", "side"), [("crank.end_float_min", "least"), ("crank.end_float_max", "most")]
)
def test_the_book_has_one_mind_on_end_float(path, side):
    # Assumed limits and the rule that stands in for them are one number in two files.
    (window,) = (w for w in default_rules().windows if w.path == "crank.end_float")
    (filling,) = (f for f in fillings() if f.path == path)
    assert parse(str(filling.value), Kind.CLEARANCE, "").value == pytest.approx(
        parse(str(getattr(window, side)), Kind.CLEARANCE, "").value, rel=1e-12
    )
