"""What the formulas take: one number, or an array of them, and they answer in kind."""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Numbers = TypeVar("Numbers", float, NDArray[np.float64])
