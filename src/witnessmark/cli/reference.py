"""Remake docs/reference/commands.md from the commands themselves.

python -m witnessmark.cli.reference docs/reference/commands.md
"""

import sys
from collections.abc import Iterator
from pathlib import Path

import typer
from typer.core import TyperGroup
from typer.main import get_command
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


def command_paths(commands: typer.Typer) -> Iterator[tuple[str, ...]]:
    """The words that reach each command and group of commands, the group itself first."""
    group = get_command(commands)
    assert isinstance(group, TyperGroup)
    yield from _paths(group)


def _paths(group: TyperGroup) -> Iterator[tuple[str, ...]]:
    yield ()
    context = typer.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        inner = _paths(command) if isinstance(command, TyperGroup) else ((),)
        for path in inner:
            yield (name, *path)


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(command_reference(), encoding="utf-8")
