"""Marks come from the folder a test lives in."""

import pytest


def pytest_collection_modifyitems(items):
    for item in items:
        for name in ("opendata", "browser"):
            if name in item.path.parts:
                item.add_marker(getattr(pytest.mark, name))
