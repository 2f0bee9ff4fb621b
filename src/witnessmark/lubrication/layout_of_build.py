"""Who sits where on the crank, as far as a sheet tells; main bearings need it, rods do not."""

import math
from collections.abc import Iterator

import numpy as np

from witnessmark.model.build import BuildSheet
from witnessmark.physics.crank.layout import Layout, half_and_half, inline, pins, vee

SMALLEST_SHARED_VEE = 8  # cylinders; smaller V engines often split their pins, and no sheet says so
_CLOSE = 1e-6  # rad


def layout_of_build(sheet: BuildSheet) -> Layout | str:
    """Layout of the crank, or why it cannot be told, as a clause.

    Parameters
    ----------
    sheet : Arrangement, firing order and number of main bearings.

    Returns
    -------
    Layout; or words.

    Limits: even firing; a main on either side of every throw. V: pins shared by two rods, V angle
    720° over the cylinders, cylinders numbered by bank or front to back from side to side,
    whichever makes the pins meet. Flat: a throw for each cylinder, opposed ones half a turn apart,
    or shared pins. Source: geometry (`physics.crank.layout.pins`); numbering is common practice.
    """
    said = sheet.layout
    if said.firing != "even":
        return "the engine fires unevenly, and the sheet does not say at which angles"
    if said.arrangement == "inline":
        return _on_mains(sheet, [inline(said.firing_order)])
    if said.cylinders % 2:
        return f"{said.cylinders} cylinders cannot be parted evenly into two banks"
    if said.arrangement == "V" and said.cylinders < SMALLEST_SHARED_VEE:
        return (
            f"a V{said.cylinders} may have split crank pins, and the sheet gives neither them nor "
            "the V angle"
        )
    return _on_mains(sheet, list(_vees(sheet) if said.arrangement == "V" else _flats(sheet)))


def _on_mains(sheet: BuildSheet, fitting: list[Layout]) -> Layout | str:
    """The one layout that fits the order, if the mains stand where it needs them."""
    if not fitting:
        order = "-".join(map(str, sheet.layout.firing_order))
        return f"firing order {order} fits no even-firing crank we know of this arrangement"
    count = sheet.main_bearings.count
    standing = [one for one in fitting if one.sharing.shape[0] == count]
    if len(standing) == 1:
        return standing[0]
    if standing:
        return "its firing order fits two ways of numbering the cylinders"
    wanted = " or ".join(sorted({str(one.sharing.shape[0]) for one in fitting}))
    return (
        f"the sheet gives {count} main bearings; loads are shared out only where one stands on "
        f"each side of every throw, here {wanted}"
    )


def _numberings(cylinders: int) -> Iterator[tuple[list[int], list[int]]]:
    """For each way of numbering: pair of each cylinder from the front, and its side (-1, 1)."""
    half, numbers = cylinders // 2, range(cylinders)
    yield [i // 2 for i in numbers], [1 - 2 * (i % 2) for i in numbers]
    yield [i % half for i in numbers], [1 if i < half else -1 for i in numbers]


def _vees(sheet: BuildSheet) -> Iterator[Layout]:
    cylinders, order = sheet.layout.cylinders, sheet.layout.firing_order
    half_angle = 2 * math.pi / cylinders
    for pair, side in _numberings(cylinders):
        for sense in (1, -1):
            layout = vee(order, pair, [sense * half_angle * one for one in side])
            if all(abs(apart) < _CLOSE for apart in _apart(layout, pair)):
                yield layout


def _flats(sheet: BuildSheet) -> Iterator[Layout]:
    cylinders, order = sheet.layout.cylinders, sheet.layout.firing_order
    for pair, side in _numberings(cylinders):
        shared = vee(order, pair, [math.pi / 2 * one for one in side])
        apart = _apart(shared, pair)
        if all(abs(one) < _CLOSE for one in apart):
            yield shared
        elif all(abs(abs(one) - math.pi) < _CLOSE for one in apart):
            throw = tuple(2 * k + (one < 0) for k, one in zip(pair, side, strict=True))
            yield Layout(shared.fires, shared.bank, throw, half_and_half(cylinders))


def _apart(layout: Layout, pair: list[int]) -> list[float]:
    """Angle between the two pins of every pair, -pi to pi. [rad]"""
    at = pins(layout)
    found = []
    for k in range(max(pair) + 1):
        first, second = (i for i, one in enumerate(pair) if one == k)
        found.append(float(np.angle(np.exp(1j * (at[first] - at[second])))))
    return found
