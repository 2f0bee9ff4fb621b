"""The reference page tells of every channel what the vocabulary holds."""

import tomllib
from importlib.resources import files
from pathlib import Path

from witnessmark.logs.channels.measure import shown

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "log-reading.md"


def rows() -> list[str]:
    """The channel table as the page must have it; print it to mend the page."""
    vocabulary = tomllib.loads(
        files("witnessmark.logs.channels").joinpath("vocabulary.toml").read_text("utf-8")
    )
    return [
        f"| `{c['name']}` | {c['title']} | {', '.join(map(shown, c['units']))} "
        f"| {c['low']} to {c['high']} | {c['rate']} | {c.get('kept_up', '')} | {c['hold']} |"
        for c in vocabulary["channel"]
    ]


def test_the_table_of_channels_is_the_vocabulary():
    written = [line for line in PAGE.read_text("utf-8").splitlines() if line.startswith("| `")]
    assert written == rows(), "print tests.logs.test_log_reading_doc.rows() and paste it in"
