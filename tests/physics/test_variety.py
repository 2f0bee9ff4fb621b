import numpy as np
import pytest

from witnessmark.physics.variety import effective_cells


@pytest.mark.parametrize("cells", [1, 2, 12])
def test_even_use_of_n_cells_is_n(cells):
    # Hill (1973): every order of diversity of n equal shares is n.
    assert effective_cells(np.full(cells, 3.5)) == pytest.approx(cells)


def test_splitting_every_cell_evenly_doubles_the_number():
    # The doubling property that Hill (1973) asks of a diversity number.
    seconds = np.array([50.0, 30.0, 15.0, 5.0])
    halves = np.repeat(seconds / 2, 2)
    assert effective_cells(halves) == pytest.approx(2 * effective_cells(seconds))


def test_two_shares_of_three_quarters_and_one():
    # By hand: exp(-(0.75 ln 0.75 + 0.25 ln 0.25)) = 4 / 3**0.75.
    assert effective_cells(np.array([75.0, 25.0, 0.0])) == pytest.approx(4 / 3**0.75)


def test_an_empty_map_has_none():
    assert effective_cells(np.zeros((3, 4))) == 0.0
