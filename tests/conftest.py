"""Marks come from the folder a test lives in; what is slow and asked for often is kept."""

import pytest
from hypothesis import HealthCheck, settings

from tests.once import worked_out_once

# How long an example takes is the machine's affair: on a busy one, sound tests would fail.
settings.register_profile("busy", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("busy")


def pytest_collection_modifyitems(items):
    for item in items:
        for name in ("opendata", "browser"):
            if name in item.path.parts:
                item.add_marker(getattr(pytest.mark, name))


@pytest.fixture(scope="session", autouse=True)
def _once():
    with worked_out_once():
        yield
