"""The files a shop was sent, as they came, each under the hash of its bytes."""

import hashlib
import json
from pathlib import Path

from witnessmark.errors import UserError
from witnessmark.records.shop import Shop, write_whole, writing

_HASH_DIGITS = 64


def keep_original(shop: Shop, data: bytes, name: str, on: str) -> str:
    """Keep a file's bytes and return their SHA-256; what is there already is not written again.

    `name`: what the file was called. `on`: ISO date it came. UserError if it cannot be kept.
    """
    digest = hashlib.sha256(data).hexdigest()
    path = original_path(shop, digest)
    with writing(shop):
        if path.exists():
            _same(path, path.read_bytes(), digest)
            return digest
        about = {"name": name, "came_on": on, "bytes": len(data)}
        write_whole(path.with_name(digest + ".json"),
                    (json.dumps(about) + "\n").encode())  # fmt: skip
        write_whole(path, data)
    return digest


def original(shop: Shop, digest: str) -> bytes:
    """The bytes kept under a hash. UserError if there are none, or they are not those any more."""
    path = original_path(shop, digest)
    if not path.is_file():
        raise UserError(
            str(path), "no such original is kept", "the hash of a log that was kept is wanted",
            "Look at the list of drives",
        )  # fmt: skip
    data = path.read_bytes()
    _same(path, data, digest)
    return data


def original_path(shop: Shop, digest: str) -> Path:
    """Where an original lies."""
    if len(digest) != _HASH_DIGITS or set(digest) - set("0123456789abcdef"):
        raise UserError(digest, "this is no SHA-256", "64 hexadecimal digits are wanted",
                        "Look at the list of drives")  # fmt: skip
    return shop.path / "originals" / digest[:2] / digest


def _same(path: Path, data: bytes, digest: str) -> None:
    if hashlib.sha256(data).hexdigest() != digest:
        raise UserError(
            str(path), "its bytes are not those that were kept",
            "an original is never changed", "Put it back from a copy; it was not overwritten",
        )  # fmt: skip
