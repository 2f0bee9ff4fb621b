"""Crank layouts told from a build sheet, and those that cannot be told."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.lubrication.builds import heron, least
from tests.model.sheets import LEAST, changed
from witnessmark.lubrication.layout_of_build import layout_of_build
from witnessmark.model.build import parse_build
from witnessmark.physics.crank.layout import Layout, pins

FIRED = 'arrangement = "V"\ncylinders = 8\nfiring_order = [1, 4, 7, 2, 8, 5, 3, 6]'


def sheet(arrangement: str, order: list[int], *more: tuple[str, str]):
    layout = f'arrangement = "{arrangement}"\ncylinders = {len(order)}\nfiring_order = {order}'
    return parse_build(changed(LEAST, (FIRED, layout), *more), "x.toml")


def degrees(layout: Layout) -> np.ndarray:
    return np.degrees(pins(layout)) % 360


def test_an_inline_five_has_a_throw_a_cylinder_and_six_mains():
    layout = layout_of_build(heron())
    assert layout.throw == (0, 1, 2, 3, 4)
    assert layout.sharing.shape == (6, 5)
    # 1-2-4-5-3 at 144°: cylinder 3 fires last, 4 times 144° after cylinder 1.
    assert_allclose(np.degrees(layout.fires), (0, 144, 576, 288, 432))


# Firing orders common in the trade (common practice, no source).
@pytest.mark.parametrize(
    ("order", "throws"),
    [
        ([1, 8, 4, 3, 6, 5, 7, 2], (0, 0, 1, 1, 2, 2, 3, 3)),  # odd numbers on one bank
        ([1, 3, 7, 2, 6, 5, 4, 8], (0, 1, 2, 3, 0, 1, 2, 3)),  # 1 to 4 on one bank
    ],
)
def test_a_v8_of_either_numbering_turns_out_to_have_a_crossed_crank(order, throws):
    layout = layout_of_build(sheet("V", order))
    assert layout.throw == throws
    assert layout.sharing.shape == (5, 4)
    assert abs(abs(layout.bank[0]) - math.pi / 4) < 1e-9
    at = dict(zip(layout.throw, degrees(layout), strict=True))
    # A crossed crank: four pins a quarter turn apart; the first and last opposite each other.
    assert_allclose(sorted((np.array(list(at.values())) - at[0] + 1) % 360 - 1), (0, 90, 180, 270))
    assert_allclose((at[3] - at[0]) % 360, 180)
    assert_allclose((at[2] - at[1]) % 360, 180)


@pytest.mark.parametrize("order", [[1, 3, 2, 4], [1, 6, 2, 4, 3, 5]])
def test_in_a_boxer_opposed_pistons_go_out_together(order):
    mains = ("[crank]", f"[main_bearings]\ncount = {len(order) + 1}\n[crank]")
    layout = layout_of_build(sheet("flat", order, mains))
    assert layout.sharing.shape == (len(order) + 1, len(order))
    # Piston out: its pin points along its own bank.
    out = np.cos(np.array(layout.bank) - pins(layout))
    by_throw = np.array([out[layout.throw.index(k)] for k in range(len(order))])
    assert_allclose(by_throw[0::2], by_throw[1::2], atol=1e-9)


@pytest.mark.parametrize(
    ("made", "why"),
    [
        (least, "fits no even-firing crank"),
        (lambda: sheet("V", [1, 2, 3, 4, 5, 6]), "split crank pins"),
        (lambda: sheet("V", [1, 2, 3, 4, 5]), "two banks"),
        (lambda: heron(("bore = \"84", "firing = \"uneven\"\nbore = \"84")), "unevenly"),
        (lambda: sheet("inline", [1, 3, 4, 2], ("[crank]", "[main_bearings]\ncount = 3\n[crank]")),
         "3 main bearings"),
    ],
)  # fmt: skip
def test_what_cannot_be_told_is_said_in_words(made, why):
    found = layout_of_build(made())
    assert isinstance(found, str)
    assert why in found
