"""What the formulas take: one number, or an array of them, and they answer in kind."""

from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

Numbers = TypeVar("Numbers", float, NDArray[np.float64])

# Where several inputs broadcast, the answer may be an array though one input was a number.
Floats: TypeAlias = float | NDArray[np.float64]
