"""A packet as a zip: the same input gives the same bytes, and every file carries its hash."""

import hashlib
import json
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import IO, Any

Writer = Callable[[IO[bytes]], None]
FORMAT = "witnessmark packet 1"
MANIFEST = "manifest.json"
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the first day a zip knows: a clock would change the bytes
_HUGE = 1_000_000_000  # bytes from which a file needs the long form of a zip entry


@dataclass(frozen=True)
class Member:
    """A file of the packet: its name, what it is, how it is written.

    `packed`: it is compressed already. `size`: bytes it may take, near enough; for huge ones.
    """

    name: str
    what: str
    write: Writer
    packed: bool = False
    size: int = 0


def bytes_member(name: str, what: str, data: bytes | str, packed: bool = False) -> Member:
    """A file whose bytes are here."""
    raw = data.encode() if isinstance(data, str) else data

    def write(out: IO[bytes]) -> None:
        out.write(raw)

    return Member(name, what, write, packed, len(raw))


class _Hashing:
    """A stream that hashes and counts what goes through it."""

    def __init__(self, out: IO[bytes]) -> None:
        self._out = out
        self.sha256 = hashlib.sha256()
        self.size = 0

    def write(self, data: bytes) -> int:
        self.sha256.update(data)
        self.size += len(data)
        return self._out.write(data)


def write_packet(
    out: IO[bytes], about: Mapping[str, Any], members: Sequence[Member],
    step: Callable[[str], None] = lambda _: None,
) -> None:  # fmt: skip
    """Write the files in their order, the manifest last. `step` is told each name."""
    listed = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        for member in members:
            step(member.name)
            info = _info(member.name, member.packed)
            with packed.open(info, "w", force_zip64=member.size > _HUGE) as stream:
                through = _Hashing(stream)
                member.write(through)  # type: ignore[arg-type]  # only written to
            listed.append(
                {
                    "name": member.name, "what": member.what, "bytes": through.size,
                    "sha256": through.sha256.hexdigest(),
                }
            )  # fmt: skip
        text = json.dumps({"format": FORMAT, **about, "files": listed}, indent=1) + "\n"
        packed.writestr(_info(MANIFEST, packed=False), text)


def _info(name: str, packed: bool) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _EPOCH)
    info.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
    info.create_system = 3  # the same whatever machine it is made on
    info.external_attr = 0o644 << 16
    return info
