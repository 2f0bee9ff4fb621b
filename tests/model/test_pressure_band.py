"""A band made by hand: what it says between its grid points, and of a reading."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.pressure_band import REST, PressureBand, Shown
from witnessmark.units import Preferences

C = 273.15
RPM = 1 / 60
KPA = 1e3
SPEED = np.array([600, 1000, 3000, 6000]) * RPM
OIL = C + np.array([0, 50, 100, 150.0])


def made(basis="from the build sheet alone"):
    """Pressure linear in speed and temperature, so that lines between points are exact."""
    middle = 100e3 + 60e3 * SPEED[:, None] / 10 - 500 * (OIL - C)
    five = np.stack([middle * f for f in (0.5, 0.7, 1.0, 1.4, 1.6)])
    share = np.full(middle.shape, 0.6)
    shares = {"leak": share, "sender_offset": share / 2, REST: share / 6}
    who = Authority("Tarn Street Engines", SourceKind.DERIVED)
    return PressureBand(SPEED, OIL, five, shares, basis, who, 500e3)


def middle_at(rpm, celsius):
    return 100e3 + 100.0 * rpm - 500 * celsius  # 60e3 / 10 for each rev/s is 100 for each rpm


@pytest.mark.parametrize(("rpm", "celsius"), [(600, 0), (800, 20), (2500, 95), (6000, 150)])
def test_between_grid_points_a_plane_stays_a_plane(rpm, celsius):
    found = made().at(rpm * RPM, C + celsius)
    assert_allclose(found.middle, middle_at(rpm, celsius), rtol=1e-12)
    assert_allclose(found.low, 0.7 * found.middle, rtol=1e-12)
    assert found.inside


def test_arrays_come_back_in_their_shape():
    found = made().at(np.array([600, 2000.0])[:, None] * RPM, C + np.array([10, 20, 30.0]))
    assert found.middle.shape == found.inside.shape == (2, 3)


@pytest.mark.parametrize(
    ("rpm", "celsius", "edge"),
    [(7500, 100, (6000, 100)), (300, 100, (600, 100)), (2000, 170, (2000, 150)),
     (2000, -20, (2000, 0))],
)  # fmt: skip
def test_outside_the_grid_the_edge_is_taken_and_said(rpm, celsius, edge):
    found = made().at(rpm * RPM, C + celsius)
    assert not found.inside
    assert_allclose(found.middle, middle_at(*edge), rtol=1e-12)


# At 1,000 rpm and 100 °C the middle is 150 kPa: 75, 105, 150, 210, 240 are the five.
@pytest.mark.parametrize(
    ("kpa", "answer"),
    [(74, Shown.FAR_TOO_LOW), (76, Shown.LOW), (104, Shown.LOW), (106, Shown.RIGHT),
     (150, Shown.RIGHT), (209, Shown.RIGHT), (211, Shown.HIGH), (239, Shown.HIGH),
     (241, Shown.FAR_TOO_HIGH), (0, Shown.FAR_TOO_LOW)],
)  # fmt: skip
def test_a_reading_is_judged_by_the_quantiles(kpa, answer):
    judged = made().judge(kpa * KPA, 1000 * RPM, C + 100)
    assert judged.answer is answer
    said = judged.said.read(Preferences())
    assert answer.value in said
    assert "105 kPa to 210 kPa" in said
    assert "from the build sheet alone" in said
    assert "what the bearings leak" in said  # the largest share
    assert ("shut off" in said) is (answer is Shown.FAR_TOO_LOW)


def test_the_answer_is_in_the_readers_units():
    said = made().judge(150e3, 1000 * RPM, C + 100).said.read(Preferences("psi", "°F"))
    assert "22 psi at 1,000 rpm on oil of 212 °F is right" in said  # 150 kPa, 100 °C
    assert "kPa" not in said


@pytest.mark.parametrize(
    ("rpm", "celsius", "words"),
    [(1000, -1, "colder than 0 °C"), (1000, 151, "hotter than 150 °C"),
     (300, 90, "does not run by itself"), (np.nan, 90, "all needed")],
)  # fmt: skip
def test_where_nothing_is_foretold_it_cannot_tell(rpm, celsius, words):
    judged = made().judge(150e3, rpm * RPM, C + celsius)
    assert judged.answer is Shown.CANNOT_TELL
    assert judged.expected is None
    assert words in judged.said.read(Preferences())


def test_over_the_fastest_speed_the_edge_is_taken_and_said():
    judged = made().judge(middle_at(6000, 100), 6500 * RPM, C + 100)
    assert judged.answer is Shown.RIGHT
    assert "taken at 6,000 rpm" in judged.said.read(Preferences())


def test_what_dominates_comes_first():
    assert [name for name, _ in made().dominant(1000 * RPM, C + 90)] == [
        "leak",
        "sender_offset",
        REST,
    ]
    assert_allclose(dict(made().overall())["leak"], 0.6)
