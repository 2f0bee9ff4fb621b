"""The witnessmark command: thin skins over the jobs, each loaded only when it is asked for."""

from importlib import import_module
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_command

# Command -> module and function (or group). Loading all of them takes longer than most of them
# work, so none is imported before its name is typed; the list of commands loads all.
_COMMANDS = {
    "build": ("build", "app"),
    "plan": ("plan", "plan"),
    "review": ("review", "review"),
    "review-all": ("review_all", "review_all_command"),
    "phases": ("phases", "phases"),
    "packet": ("packet", "packet"),
    "answer": ("answer", "answer"),
    "channels": ("channels", "channels"),
    "engine": ("engine", "engine"),
    "band": ("band", "band"),
    "film": ("film", "film"),
    "calibrate": ("calibrate", "calibrate"),
    "drift": ("drift", "drift"),
    "recipe": ("recipe", "app"),
    "serve": ("serve", "serve"),
}


_MANNER: dict[str, Any] = {"pretty_exceptions_enable": False, "rich_markup_mode": None}


class _Commands(TyperGroup):
    """The commands by name."""

    def list_commands(self, ctx: typer.Context) -> list[str]:  # type: ignore[override]
        return list(_COMMANDS)

    def get_command(self, ctx: typer.Context, cmd_name: str) -> TyperCommand | TyperGroup | None:  # type: ignore[override]
        if cmd_name not in _COMMANDS:
            return None
        module, name = _COMMANDS[cmd_name]
        found = getattr(import_module(f"witnessmark.cli.{module}"), name)
        alone = typer.Typer(callback=_begin, **_MANNER)
        if isinstance(found, typer.Typer):
            alone.add_typer(found, name=cmd_name)
        else:
            alone.command(cmd_name)(found)
        group = get_command(alone)
        assert isinstance(group, TyperGroup)
        return group.commands[cmd_name]  # type: ignore[return-value]


def _begin() -> None:
    """Make a group of it: what there is to do stands in the commands."""


app = typer.Typer(
    name="witnessmark",
    cls=_Commands,
    callback=_begin,
    help="From a freshly built engine to a run-in plan and a verdict on its drive logs.",
    no_args_is_help=True,
    **_MANNER,
)
