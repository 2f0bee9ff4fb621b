"""A packet read back: its manifest, once every file in it has been held against its hash."""

import hashlib
import json
import struct
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from witnessmark.errors import UserError
from witnessmark.jobs.packet.archive import FORMAT, MANIFEST
from witnessmark.model.tuner_answer import MapNamed

ANSWER = "answer.toml"
_MOST_MANIFEST = 2_000_000  # bytes
_AT_ONCE = 1 << 20
_DAMAGE = (
    zipfile.BadZipFile, zlib.error, struct.error, EOFError, OSError, KeyError, ValueError,
    NotImplementedError, RuntimeError, RecursionError, TypeError, IndexError, OverflowError,
)  # fmt: skip
_REMEDY = "Take the packet as it was made, or make it again with 'witnessmark packet'"


@dataclass(frozen=True)
class PacketRead:
    """What a packet says of itself."""

    id: str
    serial: str
    plan_sha256: str
    log_sha256: str
    map: MapNamed | None


def read_packet(source: Path | IO[bytes], where: str) -> PacketRead:
    """What a packet is about.

    Raises UserError if it is no packet, is damaged, or a file in it was changed. The answer in it
    is there to be filled in and may have changed.
    """
    try:
        with zipfile.ZipFile(source) as packed:
            manifest = _manifest(packed)
            wrong = _wrong_file(packed, manifest)
            if not wrong:
                return _read(manifest)
    except _DAMAGE as error:
        raise UserError(
            where, f"it cannot be read as a packet ({_short(error)})",
            "a packet for the tuner (packet.zip) is wanted", _REMEDY,
        ) from None  # fmt: skip
    raise UserError(where, wrong, "every file in a packet fits its hash", _REMEDY)


def _manifest(packed: zipfile.ZipFile) -> dict[str, Any]:
    info = packed.getinfo(MANIFEST)
    if info.file_size > _MOST_MANIFEST:
        raise ValueError("its manifest is far too long")
    with packed.open(info) as stream:
        data = json.loads(stream.read(_MOST_MANIFEST))
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise ValueError(f"its manifest is not a '{FORMAT}'")
    return data


def _wrong_file(packed: zipfile.ZipFile, manifest: dict[str, Any]) -> str:
    """What is wrong with the first file that does not fit, "" if all do."""
    listed = {str(one["name"]): one for one in manifest["files"]}
    names = packed.namelist()
    strange = [name for name in names if name not in listed and name != MANIFEST]
    if strange or len(names) != len(set(names)):
        return f"it holds a file that was not packed: {(strange or names)[0][:80]!r}"
    for name, one in listed.items():
        if name != ANSWER and not _fits(packed, name, int(one["bytes"]), str(one["sha256"])):
            return f"{name[:80]!r} in it was changed"
    return ""


def _fits(packed: zipfile.ZipFile, name: str, size: int, sha256: str) -> bool:
    info = packed.getinfo(name)
    if info.file_size != size:  # also stops a file that unfolds without end
        return False
    found, read = hashlib.sha256(), 0
    with packed.open(info) as stream:
        while chunk := stream.read(_AT_ONCE):
            found.update(chunk)
            read += len(chunk)
            if read > size:
                return False
    return read == size and found.hexdigest() == sha256


def _read(manifest: dict[str, Any]) -> PacketRead:
    named = manifest["map"]
    return PacketRead(
        str(manifest["id"]), str(manifest["engine"]["serial"]), str(manifest["plan"]["sha256"]),
        str(manifest["log"]["sha256"]),
        MapNamed(str(named["name"]), str(named["sha256"]), str(named["crc32"])) if named else None,
    )  # fmt: skip


def _short(error: BaseException) -> str:
    return str(error.args[0])[:80] if error.args else type(error).__name__
