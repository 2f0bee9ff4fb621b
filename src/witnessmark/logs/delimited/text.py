"""From the bytes of a file to its text: what is no text log is refused by name."""

import codecs
import hashlib
import mmap
import re
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from witnessmark.errors import UserError

Buffer = bytes | mmap.mmap

# First bytes of files that people rename to .csv -> what they are and what to do.
_MAGIC = (
    (b"%PDF", "a PDF", "Export the log itself as CSV, not a printed page of it"),
    (b"7z\xbc\xaf", "a 7z archive", "Unpack it first, then give the CSV"),
    (b"Rar!", "a rar archive", "Unpack it first, then give the CSV"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet workbook", "Save it as CSV"),
    (b"SQLite format 3", "a database", "Export the log as CSV"),
    (b"\x89PNG", "a picture", "Export the log itself as CSV, not a picture of it"),
    (b"\xff\xd8\xff", "a picture", "Export the log itself as CSV, not a picture of it"),
    (b"{\\rtf", "a word processor's document", "Save it as plain text or CSV"),
    (b"<!DOCTYPE", "a web page", "Download the CSV itself, not the page that shows it"),
    (b'{"', "a JSON document", "Export the log as CSV"),
    (b"<html", "a web page", "Download the CSV itself, not the page that shows it"),
)  # fmt: skip

_HEAD = 1 << 16
_HASHED = 1 << 20  # bytes hashed in one go
# A text has no control characters; a few may come from a damaged card.
_CONTROL = re.compile(rb"[\x00-\x08\x0e-\x1f]")
_CONTROL_SHARE = 0.02
LONGEST_LINE = 100_000  # characters; longer, and the file has no lines to speak of


@dataclass(frozen=True)
class Raw:
    """A file as received. `path` is set when it lies on disk and can be read in place.

    `hashing`: its SHA-256, worked out beside the reading; a large file takes a while.
    """

    name: str
    data: Buffer
    hashing: Future[str]
    size: int
    path: Path | None = None


def load(path: Path) -> Raw:
    """Open a file for reading in place; UserError if it is not there or holds nothing."""
    if path.is_dir():
        raise UserError(
            str(path), "this is a folder", "a log file is wanted", "Name one file in it"
        )
    try:
        with path.open("rb") as file:
            size = path.stat().st_size
            _refuse_empty(path.name, size)
            data = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    except OSError as error:
        why = error.strerror or "it cannot be opened"
        raise UserError(
            str(path), why, "a log file is wanted", "Check the name and folder"
        ) from None
    return Raw(path.name, data, _hash(data), size, path)


def wrap(data: bytes, name: str) -> Raw:
    """The same for bytes that came by upload."""
    _refuse_empty(name, len(data))
    return Raw(name, data, _hash(data), len(data))


def _hash(data: Buffer) -> Future[str]:
    worker = ThreadPoolExecutor(1)
    hashing = worker.submit(_sha256, data)
    worker.shutdown(wait=False)
    return hashing


def _sha256(data: Buffer) -> str:
    """Block by block: of a mapped file no more than one is in memory."""
    found = hashlib.sha256()
    for start in range(0, len(data), _HASHED):
        stop = min(start + _HASHED, len(data))
        found.update(data[start:stop])
        let_go(data, start, stop)
    return found.hexdigest()


def let_go(data: Buffer, start: int, stop: int) -> None:
    """Tell the system that these bytes of a mapped file are done with for now."""
    if isinstance(data, mmap.mmap) and hasattr(mmap, "MADV_DONTNEED"):
        first = start // mmap.PAGESIZE * mmap.PAGESIZE
        data.madvise(mmap.MADV_DONTNEED, first, stop - first)


def _refuse_empty(name: str, size: int) -> None:
    if size == 0:
        raise UserError(name, "the file is empty", "a log with readings is wanted", "Log it again")


def refuse_no_text(raw: Raw) -> None:
    """UserError naming what a file is that some people take for a log."""
    head = raw.data[:_HEAD]
    for magic, what, remedy in _MAGIC:
        if head[: len(magic)].lower() == magic.lower():
            raise UserError(raw.name, f"this is {what}", "a log is wanted", remedy)


def encoding(raw: Raw) -> str:
    """How the text is written down: a codec name. UserError if it is no text at all."""
    # A logger that lost power leaves the space it had set aside, full of zeros.
    head = raw.data[:_HEAD].rstrip(b"\0")
    if not head:
        raise UserError(
            raw.name, "nothing but zeros in it", "a log with readings is wanted",
            "The logger lost power before it wrote: log again",
        )  # fmt: skip
    if head.startswith(codecs.BOM_UTF8):
        return "utf-8-sig"
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    nulls = head.count(0)
    if nulls > len(head) / 4:
        even, odd = head[::2].count(0), head[1::2].count(0)
        # In 16-bit text every other byte of plain letters and figures is zero.
        if max(even, odd) > 0.9 * nulls:
            return "utf-16-le" if odd > even else "utf-16-be"
    if len(_CONTROL.findall(head)) > _CONTROL_SHARE * len(head):
        raise UserError(
            raw.name, "this is not text but a binary file", "a text log (CSV) is wanted",
            "Export the log as CSV",
        )  # fmt: skip
    return "utf-8"


def decode(raw: Raw) -> tuple[str, str]:
    """The whole text and the encoding it was read in."""
    codec = encoding(raw)
    data = bytes(raw.data)
    if codec.startswith("utf-8"):
        data = data.rstrip(b"\0")
    if codec == "utf-8":
        try:
            return data.decode("utf-8"), codec
        except UnicodeDecodeError:
            codec = _old_code_page(data)
            return data.decode(codec, errors="replace"), codec
    return data.decode(codec, errors="replace"), codec


# What is no UTF-8 is told by how it writes the degree sign before a C or an F.
_DEGREES = (
    ("cp1252", re.compile(rb"\xb0\s?[CF]")),
    ("cp850", re.compile(rb"\xf8\s?[CF]")),
    ("mac_roman", re.compile(rb"\xa1\s?[CF]")),
    ("gb18030", re.compile(rb"\xa1\xe6|\xa1\xe3\s?[CF]")),
    ("shift_jis", re.compile(rb"\x81\x8e|\x81\x8b\s?[CF]")),
)


def _old_code_page(data: bytes) -> str:
    head = data[:_HEAD]
    return next((codec for codec, sign in _DEGREES if sign.search(head)), "cp1252")


_LINE_END = re.compile(r"\r\n|\n|\r")


def lines(text: str) -> Iterator[str]:
    """The lines of a text without their ends, one at a time."""
    start = 0
    find = _LINE_END.search if "\r" in text else None
    while start < len(text):
        if find is None:
            stop = text.find("\n", start)
            after = stop + 1
        else:
            match = find(text, start)
            stop, after = match.span() if match else (-1, 0)
        if stop < 0:
            yield text[start:]
            return
        yield text[start:stop]
        start = after


# UTF-8 that was read as cp1252 and written again: "Â°C", "â„ƒ", "Âµ", "Ã¼".
_TWICE = re.compile("[\u00c2\u00c3\u00e2][\u0080-\u00bf\u0192\u201a-\u2122]+")


def undo_double_decoding(text: str) -> str:
    """A name or unit with characters that were decoded twice put right."""

    def once(match: re.Match[str]) -> str:
        for codec in ("cp1252", "latin-1"):
            try:
                return match[0].encode(codec).decode("utf-8")
            except (UnicodeEncodeError, UnicodeDecodeError):
                continue
        return match[0]

    return _TWICE.sub(once, text)
