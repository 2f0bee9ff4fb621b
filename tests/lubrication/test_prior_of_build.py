"""How sure a build sheet is of each number."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.lubrication.builds import BOOK, book_with, heron, least
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.lubrication.system import PARAMETERS
from witnessmark.model.authority import SourceKind


def spreads(sheet, book=BOOK):
    return prior_of_build(sheet, book).prior.spreads


def test_every_parameter_has_a_spread_that_says_what_it_is_made_of_and_who_says_so():
    for sheet in (heron(), least()):
        found = spreads(sheet)
        assert set(found) == set(PARAMETERS)
        for spread in found.values():
            assert spread.sd > 0
            assert spread.made_of
            assert spread.authority.owner


def test_the_spread_of_the_leak_grows_with_the_error_of_the_clearances():
    sds = [
        spreads(heron(), book_with("bearings", clearance_error={"value": v, "range": (v, v)}))
        ["leak"].sd for v in ("1 µm", "4 µm", "12 µm", "40 µm")
    ]  # fmt: skip
    assert np.all(np.diff(sds) > 0)


def test_with_nothing_else_unsure_the_leak_is_three_times_as_unsure_as_the_clearance():
    sure = {"value": "0.001 µm", "range": ("0.001 µm", "0.001 µm")}
    unsure = {"value": "1.645 µm", "range": ("1 µm", "2 µm")}  # nine of ten: a deviation of 1 µm
    book = book_with(
        "bearings", clearance_error=sure, clearance_bias=unsure,
        beyond={"value": "100 %", "range": ("100 %", "100 %")},
        eccentricity={"value": "60 %", "range": ("60 %", "60 %")},
    )  # fmt: skip
    # The mains leak most; theirs are 0.00218 in = 55.4 µm on the mean, so 3/55.4.
    assert_allclose(spreads(heron(), book)["leak"].sd, 3 / 55.4, rtol=0.03)


@pytest.mark.parametrize("name", ["leak", "feeds", "relief_opening", "relief_gradient", "pump"])
def test_what_is_only_assumed_is_less_sure(name):
    assert spreads(least())[name].sd > spreads(heron())[name].sd


def test_shares_of_the_pump_flow_are_as_unsure_as_agreed():
    found = spreads(least())
    # The lead's prior for any engine: 0.8 of the logarithm for both.
    assert_allclose([found["leak"].sd, found["feeds"].sd], 0.8, rtol=0.02)


def test_measured_numbers_are_the_sheets_own():
    assert spreads(heron())["leak"].authority.source is SourceKind.BUILD_SHEET
    assert spreads(least())["leak"].authority.source is SourceKind.MEMORY


def test_what_was_assumed_is_said_once():
    for sheet in (heron(), least()):
        paths = [note.path for note in prior_of_build(sheet, BOOK).assumed]
        assert len(paths) == len(set(paths))
    assert "oil_pump.displacement" in paths
    assert "main_bearings.clearances" in paths


def test_a_sheet_with_nothing_measured_is_never_refused_for_its_pressure():
    # It idles slowly and everything is assumed: no number on it could be put right.
    slow = least().model_copy(
        update={"layout": least().layout.model_copy(update={"idle_speed": 500 / 60})}
    )
    assert prior_of_build(slow, BOOK).prior.spreads["leak"].sd > 0.5
