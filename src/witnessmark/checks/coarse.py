"""A long log in fewer, longer samples, for maps and medians that need no more."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from witnessmark.model.log import Floats, Mask

ENOUGH = 200_000  # samples: hours at ten a second; a map of more looks the same


@dataclass(frozen=True)
class Coarse:
    """Blocks of `each` samples; a log of up to ENOUGH samples stays as it is (`each` is 1)."""

    samples: int

    @cached_property
    def each(self) -> int:
        """Samples in a block, fewer in the last."""
        return max(1, -(-self.samples // ENOUGH))

    @cached_property
    def starts(self) -> NDArray[np.intp]:
        """First sample of each block. Shape (b,)."""
        return np.arange(0, self.samples, self.each)

    def first(self, values: Floats) -> Floats:
        """The value at the start of each block."""
        return values[:: self.each]

    def total(self, values: Floats) -> Floats:
        """The sum over each block."""
        return values if self.each == 1 else np.add.reduceat(values, self.starts)

    def least(self, values: Floats) -> Floats:
        """The lowest of each block; NaN is passed over."""
        return values if self.each == 1 else np.fmin.reduceat(values, self.starts)

    def most(self, values: Floats) -> Floats:
        """The highest of each block; NaN is passed over."""
        return values if self.each == 1 else np.fmax.reduceat(values, self.starts)

    def all(self, mask: Mask) -> Mask:
        """Where a mask holds for the whole block."""
        return mask if self.each == 1 else np.logical_and.reduceat(mask, self.starts)
