"""The oil of a sheet: by its numbers, by its grade, and refused when neither will do."""

import chemicals.viscosity
import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.lubrication.builds import BOOK, heron, with_oil
from witnessmark.errors import UserError
from witnessmark.lubrication.oil_of_build import oil_of_build
from witnessmark.model.lubrication_book import si

MM2 = 1e-6
C = 273.15


def test_a_data_sheet_is_taken_at_its_word():
    sheet = with_oil(heron(), kv40=110 * MM2, kv100=14.5 * MM2, density=880.0)
    oil = oil_of_build(sheet, BOOK)
    # ASTM D341 line through 110 and 14.5 mm²/s, worked out apart from this code (issue's
    # anchors, short form): 47.66 at 60 °C, 18.65 at 90 °C, 9.390 at 120 °C.
    for celsius, published in ((40, 110), (60, 47.66), (90, 18.65), (100, 14.5), (120, 9.390)):
        assert_allclose(oil.oil.kinematic(C + celsius), published * MM2, rtol=5e-4)
    assert [note.path for note in oil.assumed] == ["oil.hths"]


@pytest.mark.parametrize(
    ("grade", "least", "most", "hths"),
    # SAE J300_201501, table 1: KV100 limits [mm²/s] and HTHS [mPa s].
    [("15W-40", 12.5, 16.3, 3.7), ("5W-30", 9.3, 12.5, 2.9), ("SAE 30", 9.3, 12.5, 2.9),
     ("10W-60", 21.9, 26.1, 3.7)],
)  # fmt: skip
def test_an_oil_by_its_grade_lies_inside_the_grade(grade, least, most, hths):
    oil = oil_of_build(with_oil(heron(), grade=grade), BOOK)
    hot = float(oil.oil.kinematic(C + 100)) / MM2
    assert least < hot < most
    assert_allclose(oil.oil.dynamic(C + 150, 1e6), hths * 1e-3, rtol=1e-6)
    said = {note.path for note in oil.assumed}
    assert said == {"oil.kv100", "oil.kv40", "oil.density", "oil.hths"}


@pytest.mark.parametrize(("grade", "winter"), [("15W-40", "15W"), ("5W-30", "5W"), ("30", "none")])
def test_an_oil_by_its_grade_has_the_index_the_book_names(grade, winter):
    oil = oil_of_build(with_oil(heron(), grade=grade), BOOK).oil
    kv40, kv100 = (float(oil.kinematic(C + t)) for t in (40, 100))
    # Second opinion: the library chemicals' ASTM D2270; its rounding of H moves the index by 0.2.
    index = chemicals.viscosity.viscosity_index(kv40, kv100)
    assert abs(index - si(BOOK.oil.index[winter])) < 0.3


def test_a_data_sheet_leaves_less_open_than_a_grade():
    by_grade = oil_of_build(heron(), BOOK).viscosity_sd
    sheet = with_oil(heron(), kv40=110 * MM2, kv100=14.5 * MM2)
    by_sheet = oil_of_build(sheet, BOOK).viscosity_sd
    assert by_sheet < by_grade
    # J300 leaves 12.5 to 16.3 mm²/s open: nine of ten in it is a spread of 0.081 by itself.
    assert by_grade > np.log(16.3 / 12.5) / (2 * 1.645)


def test_one_viscosity_and_the_grade_are_enough():
    oil = oil_of_build(with_oil(heron(), kv100=14.0 * MM2), BOOK)
    assert_allclose(oil.oil.kinematic(C + 100), 14.0 * MM2, rtol=1e-6)
    assert "oil.kv100" not in {note.path for note in oil.assumed}


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"grade": None, "kv100": 14e-6}, "single viscosity"),
        ({"grade": None, "kv40": 110e-6}, "single viscosity"),
        ({"grade": "15W"}, "only how the oil is in the cold"),
        ({"grade": "17W-43"}, "17W-43"),
        ({"grade": None, "kv40": 14e-6, "kv100": 14e-6}, "hotter oil"),
    ],
)
def test_an_oil_that_cannot_be_is_one_clear_error(said, words):
    with pytest.raises(UserError) as caught:
        oil_of_build(with_oil(heron(), **said), BOOK)
    error = caught.value
    assert error.where.startswith("oil")
    assert words in error.found
    assert error.wanted
    assert error.remedy
