"""The SHA-256 of a file of any size."""

import hashlib
from pathlib import Path

from witnessmark.errors import UserError


def file_sha256(path: Path, where: str) -> str:
    """SHA-256 of a file's bytes, as hexadecimal. Raises UserError if it cannot be read."""
    try:
        with path.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        raise UserError(
            f"{where} {path}", f"it cannot be opened ({error.strerror})",
            "a file you may read is wanted", "Look at the name, the folder and its permissions",
        ) from None  # fmt: skip
