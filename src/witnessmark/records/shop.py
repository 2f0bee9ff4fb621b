"""A shop's folder: where its records lie, and how they are written so that none is ever half there.

Lines are only ever added. A file is read whole, the new one written beside it and put in its
place; whoever is cut off in between leaves the old one. Writers wait for each other.
"""

import fcntl
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from witnessmark.errors import UserError

_LOCK = ".lock"
_MARK, _FORMAT = "shop.json", "witnessmark shop 1"
_COPY = "Nothing was changed. Put the file back from a copy, or mend that place by hand"
Line = Mapping[str, Any]


@dataclass(frozen=True)
class Shop:
    """A shop's folder, made sure of by `open_shop`."""

    path: Path


def open_shop(path: Path, make: bool = True) -> Shop:
    """A shop's folder, made if it is not there and `make`.

    UserError if it cannot be used, or holds other things and was never a shop's.
    """
    where = f"--shop {path}"
    if path.exists() and not path.is_dir():
        raise _unfit(where, "this is a file")
    if not path.exists() and not make:
        raise _unfit(where, "there is no such folder")
    mark = path / _MARK
    try:
        path.mkdir(parents=True, exist_ok=True)
        if not mark.exists():
            if any(p.name != _LOCK for p in path.iterdir()):
                raise _unfit(where, "this folder holds other things")
            write_whole(mark, (json.dumps({"format": _FORMAT}) + "\n").encode())
        found = json.loads(mark.read_text("utf-8"))
    except OSError as error:
        raise _unfit(where, f"it cannot be used ({error.strerror})") from None
    except ValueError:
        raise _damaged(mark, 1, "it is no JSON") from None
    if not isinstance(found, dict) or found.get("format") != _FORMAT:
        raise _newer(mark, _FORMAT)
    return Shop(path)


@contextmanager
def writing(shop: Shop) -> Iterator[None]:
    """Only one writer at a time, of whatever program; the others wait."""
    with (shop.path / _LOCK).open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def write_whole(path: Path, data: bytes) -> None:
    """Put a file in its place whole, or leave what was there. UserError if it cannot be written."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise UserError(
            str(path), f"it could not be written ({error.strerror})",
            "a shop folder this user may write in, with room left",
            "What was there before is unharmed. Make room, or look at the folder's permissions",
        ) from None  # fmt: skip


def read_lines(path: Path, form: str, keys: Sequence[str]) -> list[dict[str, Any]]:
    """The lines of a record, none if there is no such file.

    `form`: what its first line says it is. `keys`: what each line must hold at least.
    UserError naming the line that is damaged; nothing is passed over.
    """
    if not path.exists():
        return []
    try:
        rows = path.read_bytes().decode("utf-8").split("\n")
    except OSError as error:
        raise UserError(
            str(path), f"it cannot be opened ({error.strerror})", "a file you may read is wanted",
            "Look at its permissions",
        ) from None  # fmt: skip
    except UnicodeDecodeError:
        raise _damaged(path, 1, "it is no text") from None
    if rows[-1]:
        raise _damaged(path, len(rows), "the line is cut off")
    lines = [_line(path, number, row) for number, row in enumerate(rows[:-1], 1)]
    if not lines or lines[0].get("format") != form:
        raise _newer(path, form)
    for number, line in enumerate(lines[1:], 2):
        missing = [key for key in keys if key not in line]
        if missing:
            raise _damaged(path, number, f"it has no {', '.join(missing)}")
    return lines[1:]


def add_line(path: Path, form: str, keys: Sequence[str], line: Line) -> None:
    """Add a line to a record; the caller holds `writing`. UserError if it is damaged."""
    before = read_lines(path, form, keys)
    rows = [{"format": form}, *before, line]
    text = "".join(json.dumps(row, allow_nan=False) + "\n" for row in rows)
    write_whole(path, text.encode())


def _line(path: Path, number: int, row: str) -> dict[str, Any]:
    try:
        found = json.loads(row)
    except (ValueError, RecursionError):
        raise _damaged(path, number, "it is no JSON") from None
    if not isinstance(found, dict):
        raise _damaged(path, number, "it is no record")
    return found


def _unfit(where: str, found: str) -> UserError:
    return UserError(
        where, found, "a shop's folder, or an empty or new one, is wanted",
        "Name another folder; it is made if it is not there",
    )  # fmt: skip


def _damaged(path: Path, number: int, found: str) -> UserError:
    return UserError(f"{path}, line {number}", f"this record is damaged: {found}",
                     "a record as it was written is wanted", _COPY)  # fmt: skip


def _newer(path: Path, form: str) -> UserError:
    return UserError(
        str(path), "this was not written as this version writes it", f"'{form}' is wanted",
        "Use the version it was written with, or put the file back from a copy",
    )  # fmt: skip
