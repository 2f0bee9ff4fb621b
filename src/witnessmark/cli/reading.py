"""Reading several logs of one engine for a command."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from witnessmark.cli.options import buses
from witnessmark.cli.output import Bar
from witnessmark.logs.read import read_log
from witnessmark.logs.twins import refuse_twin
from witnessmark.model.log import Log

# What calibration and drift look at; the reader may leave the rest of a large log unread.
OIL_CHANNELS = ("engine_speed", "oil_temperature", "oil_pressure")
Channel = Annotated[
    list[str] | None,
    typer.Option(
        metavar="'COLUMN=name:unit'",
        help="Say what a column is, or 'COLUMN=ignore', in every log. May be given again.",
    ),
]


def read_logs(
    paths: Sequence[Path], channel: Sequence[str], progress: Bar, dbcs: Sequence[Path] | None = None
) -> list[Log]:
    """The logs in the order given. Raises UserError for one that cannot be read or comes twice."""
    found: list[Log] = []
    known = buses(dbcs)
    for path in paths:
        progress.step(f"Reading {path.name}")
        log = read_log(path, channel, progress.done, OIL_CHANNELS, known)
        refuse_twin(log, found)
        found.append(log)
    progress.done(0)
    return found
