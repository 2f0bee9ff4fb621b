"""The measured logs lie beside the checkout; without them these tests say so and step aside."""

import os
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "data"


@pytest.fixture(scope="session")
def shared_data() -> Path:
    if not FOLDER.is_dir():
        message = "the measured logs (../shared/data) are not here"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    return FOLDER
