"""Remake docs/reference/commands.md from the commands themselves.

python -m witnessmark.cli.reference docs/reference/commands.md
"""

import sys
from collections.abc import Iterator
from pathlib import Path

import typer
from typer.testing import CliRunner

from witnessmark.cli.main import app

_PLAIN = {"TERM": "dumb", "COLUMNS": "90", "NO_COLOR": "1"}


def command_reference() -> str:
    """Every command's help text, as a Markdown page."""
    parts = ["# Commands\n", "Made from the commands' own help; `--help` prints the same.\n"]
    for path in command_paths(app):
        shown = CliRunner().invoke(app, [*path, "--help"], env=_PLAIN, prog_name="witnessmark")
        lines = (line.rstrip() for line in shown.output.strip().splitlines())
        title = " ".join(("witnessmark", *path))
        text = "\n".join(lines)
        parts.append(f"## {title}\n\n```\n{text}\n```\n")
    return "\n".join(parts)


def command_paths(group: typer.Typer) -> Iterator[tuple[str, ...]]:
    """The words that reach each command and group of commands, the group itself first."""
    yield ()
    for command in group.registered_commands:
        assert command.callback is not None
        yield (command.name or command.callback.__name__.replace("_", "-"),)
    for inner in group.registered_groups:
        assert inner.typer_instance is not None
        for path in command_paths(inner.typer_instance):
            yield (inner.name or "", *path)


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(command_reference(), encoding="utf-8")
