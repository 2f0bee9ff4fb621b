"""One place where a user's mistake becomes lines on the terminal and an exit code."""

from collections.abc import Iterator
from contextlib import contextmanager

import typer
from rich.console import Console
from rich.text import Text

from witnessmark.cli.exit_codes import BAD_INPUT
from witnessmark.errors import UserError, ended

stderr = Console(stderr=True, soft_wrap=True)


@contextmanager
def faults_shown() -> Iterator[None]:
    """Print every fault of a UserError, one after the other, and leave with the code for them."""
    try:
        yield
    except UserError as error:
        many = len(error.faults)
        if many > 1:
            stderr.print(Text(f"{many} things to put right:", style="bold"))
        for fault in error.faults:
            stderr.print(Text(f"{fault.where}: {fault.told}"))
            stderr.print(Text(f"  {ended(fault.remedy)}"))
        raise typer.Exit(BAD_INPUT) from error
