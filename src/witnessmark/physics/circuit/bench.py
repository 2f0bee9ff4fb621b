"""Where blocks of states lie while they are worked on: memory made once, filled many times."""

from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.checked import Array
from witnessmark.physics.circuit.evaluate import ROWS, Desk
from witnessmark.physics.circuit.terms import Terms
from witnessmark.physics.numbers import Floats

Where = tuple[int | slice, ...]
Which = NDArray[np.intp]
KEPT = ("p", "old_p", "old_left", "old_slope")  # what a search must remember


class Bench:
    """A desk and the terms of the states that lie on it."""

    def __init__(self, terms: Terms, size: int) -> None:
        """Room for a number of states with such terms."""
        self.desk_rows = np.empty((ROWS, size))
        arrays: list[Floats] = []

        def note(number: Floats) -> Floats:
            if not isinstance(number, float):
                arrays.append(number)
            return number

        terms.changed(note)
        self.term_rows = np.empty((len(arrays), size))

    def desk(self, part: slice) -> Desk:
        """The desk of a stretch of the states."""
        return Desk(self.desk_rows[:, part])

    def lay(self, terms: Terms, part: slice, fill: Callable[[Array, Array], None]) -> Terms:
        """Terms of a stretch, each row filled in from the array of the terms given."""
        rows = iter(self.term_rows)

        def laid(number: Floats) -> Floats:
            if isinstance(number, float):
                return number
            row: Array = next(rows)[part]
            fill(row, number)
            return row

        return terms.changed(laid)

    def gather(self, terms: Terms, desk: Desk, these: Which, start: int) -> tuple[Terms, Desk]:
        """Some states of a bench, perhaps this one, laid side by side from a place on."""
        part = slice(start, start + these.size)
        kept = [getattr(desk, name)[these] for name in KEPT]  # all, before any is written over
        small = self.desk(part)
        for name, values in zip(KEPT, kept, strict=True):
            getattr(small, name)[:] = values

        def pick(row: Array, number: Array) -> None:
            np.take(number, these, out=row, mode="clip")  # clip: no second look at each index

        return self.lay(terms, part, pick), small


def parts(shape: tuple[int, ...], block: int) -> Iterator[tuple[slice, Where]]:
    """Stretches of states in memory order, as a slice of the flat array and as an index.

    Parameters
    ----------
    shape : Of the states.
    block : Most states in a stretch.

    Yields
    ------
    Slice and index; empty stretches are left out.
    """
    shape = shape or (1,)
    axis = next(a for a in range(len(shape)) if np.prod(shape[a + 1 :]) <= block)
    inner = int(np.prod(shape[axis + 1 :]))
    pieces = max(1, -(-shape[axis] // (block // max(1, inner))))
    edges = np.linspace(0, shape[axis], pieces + 1).astype(int).tolist()
    start = 0
    for outer in np.ndindex(*shape[:axis]):
        for i, j in pairwise(edges):
            stop = start + (j - i) * inner
            if stop > start:
                yield slice(start, stop), (*outer, slice(i, j))
            start = stop
