"""What kind of file a log is, told by its first bytes: its ending may say anything."""

import re
from enum import StrEnum

from witnessmark.logs.delimited.text import Raw

_HEAD = 4096


class FileKind(StrEnum):
    """The kinds of file we read; the value is how a sentence calls it."""

    TEXT = "a text log"
    PARQUET = "a Parquet table"
    MDF = "a measurement file (MDF)"
    BLF = "a binary bus log (BLF)"
    ASC = "a text bus log (ASC)"
    CANDUMP = "a text bus log (candump)"
    TRC = "a text bus log (TRC)"
    ZIP = "a zip archive"
    GZIP = "a gzip archive"

    @property
    def is_bus(self) -> bool:
        """Whether it holds the frames of a bus and nothing else."""
        return self in (FileKind.BLF, FileKind.ASC, FileKind.CANDUMP, FileKind.TRC)


_MAGIC = (
    (b"PAR1", FileKind.PARQUET),
    (b"MDF     ", FileKind.MDF),
    (b"UnFinMF ", FileKind.MDF),
    (b"LOGG", FileKind.BLF),
    (b"PK\x03\x04", FileKind.ZIP),
    (b"\x1f\x8b", FileKind.GZIP),
)
# Bus logs in text: each begins in a way no table of readings does.
_WRITTEN = (
    (
        re.compile(rb"(?im)^\s*base\s+(?:hex|dec)\s+timestamps\s+(?:absolute|relative)"),
        FileKind.ASC,
    ),
    (re.compile(rb"\s*\(\d+\.\d+\)\s+\S+\s+[0-9A-Fa-f]{3,8}#"), FileKind.CANDUMP),
    (re.compile(rb"\s*;\$FILEVERSION\s*="), FileKind.TRC),
)


def kind_of(raw: Raw) -> FileKind:
    """The kind of a file. Anything not known is taken for text, whose reader says what it is."""
    head = bytes(raw.data[:_HEAD])
    for magic, kind in _MAGIC:
        # "LOGG" may begin a text too ("LOGGER;3"): binary files hold zeros near the top.
        if head.startswith(magic) and (kind is not FileKind.BLF or b"\0" in head[:64]):
            return kind
    text = head.removeprefix(b"\xef\xbb\xbf")
    for pattern, kind in _WRITTEN:
        if pattern.match(text) or (kind is FileKind.ASC and pattern.search(text)):
            return kind
    return FileKind.TEXT
