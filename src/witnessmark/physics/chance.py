"""How often chance alone would bring two things together in time."""

import numpy as np
from numpy.typing import NDArray


def chance_of_meeting(
    marks: NDArray[np.bool_], where: NDArray[np.bool_], apart: int
) -> tuple[int, float]:
    """Marks that fall where something holds, and how often shifted marks do so as often.

    Parameters
    ----------
    marks, where : On one grid of equal steps. Shape (n,).
    apart : Shifts of fewer steps than this, either way, are too near the true one. [-]

    Returns
    -------
    Marks that meet `where` [-], and the share of all other turns of `marks` round the end of the
    grid with at least as many, the true one counted in [-]. 1 where the grid is too short.

    Limits: as fine as 1 in n. Turning keeps how marks and stretches follow each other, so a few
    long corners do not count as many short ones.
    Source: randomisation by cyclic shift; R. A. Fisher's test of 1935 with shifts for
    permutations, as is usual for series in time (from memory).
    """
    n = len(marks)
    spectrum = np.conj(np.fft.rfft(marks.astype(np.float64)))
    meets = np.rint(np.fft.irfft(spectrum * np.fft.rfft(where.astype(np.float64)), n))
    met = int(meets[0])
    shifted = meets[apart : n - apart + 1]
    if n <= 2 * apart or not len(shifted):
        return met, 1.0
    return met, (1 + int((shifted >= met).sum())) / (1 + len(shifted))
