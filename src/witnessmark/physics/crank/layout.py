"""Which cylinder sits where on the crank and when it fires."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Layout:
    """Cylinders of an engine in the order of their numbers, and how throws rest on the mains.

    fires : Crank angle by which a cylinder fires after the first of the order. [rad]
    bank : Angle of its axis from the engine's, in the sense of rotation. [rad]
    throw : Number of the crank throw its rod sits on, from 0 at the front.
    sharing : Share of a throw's load each main bearing takes, shape (mains, throws). [-] Columns
        add up to 1: each throw is a beam on the mains beside it, whatever the others do.
    """

    fires: tuple[float, ...]
    bank: tuple[float, ...]
    throw: tuple[int, ...]
    sharing: Array

    def __post_init__(self) -> None:
        """Refuse a crank that does not add up."""
        if not len(self.fires) == len(self.bank) == len(self.throw):
            raise ValueError(
                f"Layout: {len(self.fires)} firing angles, {len(self.bank)} banks and "
                f"{len(self.throw)} throws found; give one of each for every cylinder."
            )
        if sorted(set(self.throw)) != list(range(self.sharing.shape[1])):
            raise ValueError(
                f"Layout: throws {sorted(set(self.throw))} found; every throw from 0 to "
                f"{self.sharing.shape[1] - 1} must carry a rod. Number throws from the front."
            )
        if not np.allclose(self.sharing.sum(axis=0), 1, rtol=0, atol=1e-9):
            raise ValueError(
                f"Layout: shares of the throws add up to {self.sharing.sum(axis=0)}; each column "
                "must add up to 1. Share each throw's load out among its mains."
            )


def half_and_half(throws: int) -> Array:
    """Sharing of a crank with a main bearing on either side of every throw.

    Parameters
    ----------
    throws : Number of throws. [-]

    Returns
    -------
    Shape (throws + 1, throws). [-] Half of a throw's load to each neighbour.

    Limits: stiff throws midway between mains in line; a real crank and block bend and share.
    Source: statically determinate scheme; C. F. Taylor (1968), vol. 2; common practice.
    """
    return np.asarray(0.5 * (np.eye(throws + 1, throws) + np.eye(throws + 1, throws, k=-1)))


def inline(firing_order: Sequence[int]) -> Layout:
    """Layout of an inline engine that fires evenly, one throw a cylinder.

    Parameters
    ----------
    firing_order : Cylinder numbers, 1 at the front, in the order they fire.

    Returns
    -------
    Layout.
    """
    order = _order(firing_order)
    count = len(order)
    fires = tuple(float(order.index(i) * 4 * np.pi / count) for i in range(count))
    return Layout(fires, (0.0,) * count, tuple(range(count)), half_and_half(count))


def vee(
    firing_order: Sequence[int],
    throw: Sequence[int],
    bank: Sequence[float],
    firing_angles: Sequence[float] | None = None,
) -> Layout:
    """Layout of a V engine.

    Parameters
    ----------
    firing_order : Cylinder numbers from 1 in the order they fire.
    throw : For each cylinder by number, its throw from 0 at the front.
    bank : For each cylinder by number, its axis from the middle of the V, in the sense of
        rotation: half the V angle, positive or negative. [rad]
    firing_angles : When each of the order fires, in crank angle; None for even firing. [rad]

    Returns
    -------
    Layout. Rods that share a throw but would need two pins are a split throw: see `pins`.
    """
    order = _order(firing_order)
    count = len(order)
    when = np.arange(count) * 4 * np.pi / count if firing_angles is None else firing_angles
    fires = tuple(float(when[order.index(i)]) for i in range(count))
    return Layout(fires, tuple(bank), tuple(throw), half_and_half(max(throw) + 1))


def pins(layout: Layout) -> Array:
    """Where each cylinder's crank pin stands when the first of the order fires.

    Parameters
    ----------
    layout : Layout.

    Returns
    -------
    Angle from the engine's axis in the sense of rotation, 0 to 2 pi, by cylinder. [rad] Two rods
    on one throw with different angles mean a split pin, or a wrong firing order or bank.
    """
    full = 2 * np.pi
    angle = np.mod(np.subtract(layout.bank, layout.fires) + 1e-9, full) - 1e-9
    return np.asarray(angle)


def _order(firing_order: Sequence[int]) -> list[int]:
    order = [number - 1 for number in firing_order]
    if sorted(order) != list(range(len(order))) or not order:
        raise ValueError(
            f"Layout: firing order {list(firing_order)} found; every cylinder from 1 up must "
            "stand in it once. Check the order."
        )
    return order
