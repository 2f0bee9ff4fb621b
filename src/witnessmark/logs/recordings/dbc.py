"""A user's DBC: the file that says what the frames of a bus mean."""

from dataclasses import dataclass
from pathlib import Path

from witnessmark.errors import UserError

_MOST = 50_000_000  # bytes; the largest we have heard of has a tenth of it


@dataclass(frozen=True)
class Dbc:
    """A DBC as received: `name` is what messages call it, `text` its content."""

    name: str
    text: str


def load_dbc(path: Path) -> Dbc:
    """A DBC from a file; UserError if it cannot be opened or is no text."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise UserError(
            str(path), error.strerror or "it cannot be opened", "a DBC file is wanted",
            "Check the name and folder",
        ) from None  # fmt: skip
    return dbc_of(data, path.name)


def dbc_of(data: bytes, name: str) -> Dbc:
    """The same for a file that came as bytes."""
    if len(data) > _MOST or b"\0" in data or b"BO_" not in data:
        raise UserError(
            name, "there are no messages (BO_) in it", "a DBC file is wanted",
            "Give the DBC of the bus, as whoever set up the logger has it",
        )  # fmt: skip
    try:
        return Dbc(name, data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return Dbc(name, data.decode("cp1252", errors="replace"))
