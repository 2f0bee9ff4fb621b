"""A log in a zip or gzip archive: opened when there is just one in it, and not too large."""

import io
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import replace

from witnessmark.errors import UserError
from witnessmark.logs.delimited.text import Raw
from witnessmark.logs.recordings.kinds import FileKind, kind_of

MOST = 1_000_000_000  # bytes unpacked: as much as the web keeps; a tiny archive may hold terabytes
_PIECE = 1 << 20
# Put in by systems that pack folders, never by a logger.
_LITTER = ("__MACOSX/", ".DS_Store", "Thumbs.db", "desktop.ini")


def unpacked(raw: Raw) -> tuple[Raw, str]:
    """The log in an archive and a word on it; any other file as it came.

    The hash stays that of the file as received. UserError if there is not one log in it.
    """
    kind = kind_of(raw)
    if kind is FileKind.ZIP:
        data, name = _unzipped(raw)
    elif kind is FileKind.GZIP:
        data, name = _gunzipped(raw), "the log"
    else:
        return raw, ""
    inner = replace(raw, data=data, path=None)
    if not data or kind_of(inner) in (FileKind.ZIP, FileKind.GZIP):
        found = "an archive in an archive" if data else f"{name} in it is empty"
        raise _refused(raw.name, found)
    return inner, f"{name} taken out of {kind.value}"


def _refused(name: str, found: str) -> UserError:
    return UserError(
        name, found, "a log, or an archive with one log in it, is wanted",
        "Unpack it, then give the log itself",
    )  # fmt: skip


def _unzipped(raw: Raw) -> tuple[bytes, str]:
    try:
        with zipfile.ZipFile(io.BytesIO(bytes(raw.data))) as archive:
            one = _one_log(raw.name, archive)
            if one.file_size > MOST:
                raise _refused(raw.name, f"{one.filename} in it has {one.file_size:,} bytes")
            with archive.open(one) as file:
                return _at_most(raw.name, iter(lambda: file.read(_PIECE), b"")), one.filename
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError):
        # RuntimeError is how a password is asked for.
        raise _refused(raw.name, "the zip archive is damaged or locked") from None


def _one_log(name: str, archive: zipfile.ZipFile) -> zipfile.ZipInfo:
    held = [i for i in archive.infolist() if not i.is_dir()]
    if any(i.filename == "[Content_Types].xml" for i in held):
        raise UserError(name, "this is a spreadsheet workbook", "a log is wanted", "Save it as CSV")
    files = [i for i in held if not i.filename.startswith(_LITTER[0])
             and i.filename.rpartition("/")[2] not in _LITTER]  # fmt: skip
    if len(files) != 1:
        listed = ", ".join(i.filename[:40] for i in files[:6])
        raise _refused(name, f"{len(files)} files in the zip archive ({listed})")
    return files[0]


def _gunzipped(raw: Raw) -> bytes:
    opener = zlib.decompressobj(wbits=31)
    pieces = (bytes(raw.data[i : i + _PIECE]) for i in range(0, raw.size, _PIECE))

    def out() -> Iterator[bytes]:
        for packed in pieces:
            left = packed
            while left and not opener.eof:
                yield opener.decompress(left, _PIECE)
                left = opener.unconsumed_tail

    try:
        data = _at_most(raw.name, out())
    except zlib.error:
        raise _refused(raw.name, "the gzip archive is damaged") from None
    if not opener.eof:
        raise _refused(raw.name, "the gzip archive is cut off")
    return data


def _at_most(name: str, pieces: Iterator[bytes]) -> bytes:
    found = bytearray()
    for piece in pieces:
        found += piece
        if len(found) > MOST:
            raise _refused(name, f"it holds more than {MOST:,} bytes")
    return bytes(found)
