"""The map of the engine's control unit: a name, and what its file's bytes add up to."""

import hashlib
import zlib
from pathlib import Path

from witnessmark.errors import UserError
from witnessmark.model.tuner_answer import MapNamed

MOST = 64_000_000  # bytes; a map has a few megabytes
_LOOK = "Look at the name, the folder and its permissions"


def map_of(data: bytes, name: str) -> MapNamed:
    """The map's name with the SHA-256 and CRC32 of its file."""
    return MapNamed(name, hashlib.sha256(data).hexdigest(), f"{zlib.crc32(data):08x}")


def map_bytes(path: Path, where: str) -> bytes:
    """The bytes of a map file. Raises UserError if it cannot be read, is empty or far too big."""
    wrong = ""
    try:
        if not path.is_file():
            wrong = "this is a folder" if path.is_dir() else "there is no such file"
        elif path.stat().st_size > MOST:
            wrong = f"it is over {MOST // 1_000_000} MB"
        else:
            data = path.read_bytes()
            if data:
                return data
            wrong = "it is empty"
    except OSError as error:
        wrong = f"it cannot be opened ({error.strerror})"
    raise UserError(f"{where} {path}", wrong, "the map file is wanted", _LOOK)
