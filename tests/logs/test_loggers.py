"""Logs of many layouts read rightly, or ask rightly. All values are inputs, stated in `CASES`."""

import numpy as np
import pytest

from tests.logs.loggers import LAST, MIDDLE, ROWS, STEP, Case
from tests.logs.loggers_cases import CASES
from witnessmark.errors import UserError
from witnessmark.logs.read import read_log_bytes
from witnessmark.model.channel import How


def read(case: Case, *corrections: str):
    data = case.text if isinstance(case.text, bytes) else case.text.encode()
    return read_log_bytes(data, "drive.csv", corrections)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_logger(case):
    if case.refused:
        with pytest.raises(UserError, match=case.refused):
            read(case)
        return
    log = read(case)
    told = {c.name: c for c in log.columns}
    whys = "\n".join(f"{c.name} -> {c.channel} [{c.taken_unit}] {c.why}" for c in log.columns)
    for channel, points in case.shows.items():
        assert channel in log, f"{channel} is not shown\n{whys}"
        at = np.searchsorted(log.time, np.array([0, MIDDLE, LAST]) / LAST * log.time[-1] - 1e-3)
        got = log[channel][at]
        # Near zero the cells' two decimals count, not the share of the value.
        room = case.rtol * max(abs(p) for p in points)
        assert got == pytest.approx(points, rel=case.rtol, abs=room), f"{channel}\n{whys}"
    if case.only:
        assert set(log.channels) == set(case.shows), whys
    for column, channel in case.asks.items():
        found = told[column]
        assert (found.channel, found.how) == (None, How.SET_ASIDE), whys
        assert f"--channel '{column}={channel}:" in found.why, whys
    for column in case.silent:
        assert told[column].channel is None, whys
    assert log.time[-1] == pytest.approx(case.length, rel=1e-3), whys


ASKED = [(case, column) for case in CASES for column in case.asks]


@pytest.mark.parametrize(("case", "column"), ASKED, ids=lambda x: getattr(x, "name", x))
def test_what_is_asked_can_be_typed(case, column):
    why = next(c.why for c in read(case).columns if c.name == column)
    option = why.rpartition("--channel '")[2].partition("'")[0]
    assert case.asks[column] in read(case, option)


def test_there_are_enough_of_them():
    assert len(CASES) >= 40
    assert len({case.name for case in CASES}) == len(CASES)
    assert (ROWS - 1) * STEP == 60
