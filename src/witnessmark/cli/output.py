"""Files a command leaves behind, and the bar that shows it is still at work."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from witnessmark.cli.faults import stderr
from witnessmark.errors import UserError

Maker = Callable[[], str | bytes]


def check_endings(paths: Sequence[Path], known: Sequence[str]) -> None:
    """Refuse a file we cannot write before any work is done. Raises UserError."""
    for path in paths:
        if path.suffix.lower() not in known:
            raise UserError(
                f"--out {path}", f"ending '{path.suffix}'", "one of " + ", ".join(known),
                "Name the file with one of these endings",
            )  # fmt: skip
        if not path.absolute().parent.is_dir():
            raise UserError(
                f"--out {path}", f"there is no folder {path.parent}", "an existing folder",
                "Make the folder first",
            )  # fmt: skip


def refuse_existing(paths: Sequence[Path], force: bool) -> None:
    """Refuse to write over a file that is there, unless told to. Raises UserError."""
    for path in paths:
        if path.exists() and not force:
            raise UserError(
                f"--out {path}", "it is there already", "a name nothing has yet is wanted",
                "Choose another name, or write over it with --force",
            )  # fmt: skip


def write_all(
    paths: Sequence[Path], makers: Mapping[str, Maker], step: Callable[[str], None]
) -> None:
    """Write each file by its ending; a file appears whole or not at all."""
    for path in paths:
        step(f"Writing {path.name}")
        made = makers[path.suffix.lower()]()
        data = made.encode() if isinstance(made, str) else made
        part = path.with_name(path.name + ".part")
        try:
            part.write_bytes(data)
            part.replace(path)
        except OSError as error:
            raise UserError(
                f"--out {path}", f"it could not be written ({error.strerror})",
                "a file this user may write", "Choose another place",
            ) from error  # fmt: skip


class Bar:
    """A progress bar with a changing label; silent where nobody watches."""

    def __init__(self, progress: Progress) -> None:
        """Start with an empty bar."""
        self._progress = progress
        self._task = progress.add_task("", total=1.0)

    def step(self, label: str) -> None:
        """Say what is being done now."""
        self._progress.update(self._task, description=label)

    def done(self, share: float) -> None:
        """How much of it is done, 0 to 1."""
        self._progress.update(self._task, completed=share)


@contextmanager
def bar(quiet: bool) -> Iterator[Bar]:
    """A bar on the error stream while the block runs, gone afterwards."""
    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=stderr, transient=True, disable=quiet) as progress:
        yield Bar(progress)
