"""The drives of each engine: one line a drive, and its engine speed once a second beside it."""

import hashlib
import io
import re
from dataclasses import asdict, fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from polars.exceptions import PolarsError

from witnessmark.errors import UserError
from witnessmark.logs.twins import Likeness, Trace, Twins, compare
from witnessmark.model.kept_drive import KeptDrive
from witnessmark.records.shop import Shop, add_line, read_lines, write_whole, writing

_FORM = "witnessmark drives 1"
_KEYS = ("sha256",)
_NEEDED = tuple(f.name for f in fields(KeptDrive))
_PLAIN = re.compile(r"[^A-Za-z0-9]+")
_FOLDER_LETTERS, _FOLDER_HASH = 40, 8


def keep_drive(shop: Shop, serial: str, drive: KeptDrive, trace: Trace) -> KeptDrive:
    """Keep a drive of an engine and return it as it is kept.

    The same bytes count once: a later verdict on them replaces the earlier. The same drive taken
    by two loggers counts once: the later log is marked as the twin of the earlier.
    UserError if the record is damaged or cannot be written.
    """
    path = _record(shop, serial)
    with writing(shop):
        kept = {d.sha256: d for d in _drives(path)}
        before = kept.get(drive.sha256)
        if before is not None:
            judged = {"sha256": drive.sha256, "phase": drive.phase, "answer": drive.answer}
            if (before.phase, before.answer) != (drive.phase, drive.answer):
                add_line(path, _FORM, _KEYS, judged)
            return replace(before, phase=drive.phase, answer=drive.answer)
        drive = _told_apart(path, list(kept.values()), drive, trace)
        write_whole(_trace_path(path, drive.sha256), _parquet(trace))
        add_line(path, _FORM, _KEYS, {"serial": serial, **asdict(drive)})
    return drive


def drives_of(shop: Shop, serial: str) -> list[KeptDrive]:
    """The drives kept of an engine, in the order they came. UserError if there are none."""
    found = _drives(_record(shop, serial))
    if not found:
        known = ", ".join(serials(shop)) or "none"
        raise UserError(
            serial, "no drive of this engine is kept here", f"one of the engines kept ({known})",
            "Review a drive of it with --shop, or look at the serial",
        )  # fmt: skip
    return found


def serials(shop: Shop) -> list[str]:
    """The engines of which drives are kept."""
    found = []
    for path in sorted((shop.path / "engines").glob("*/drives.jsonl")):
        lines = [line for line in read_lines(path, _FORM, _KEYS) if "serial" in line]
        found += [str(lines[0]["serial"])] if lines else []
    return found


def kept_elsewhere(shop: Shop, serial: str, digest: str) -> str:
    """Serial of another engine the same bytes are kept under, "" if there is none."""
    for other in serials(shop):
        if other != serial and any(d.sha256 == digest for d in _drives(_record(shop, other))):
            return other
    return ""


def _record(shop: Shop, serial: str) -> Path:
    # Two serials that differ by a sign a file system takes for the same must not share a folder.
    mark = hashlib.sha256(serial.encode("utf-8", "surrogatepass")).hexdigest()[:_FOLDER_HASH]
    plain = _PLAIN.sub("-", serial).strip("-")[:_FOLDER_LETTERS]
    return shop.path / "engines" / f"{plain or 'engine'}-{mark}" / "drives.jsonl"


def _drives(path: Path) -> list[KeptDrive]:
    found: dict[str, KeptDrive] = {}
    for number, line in enumerate(read_lines(path, _FORM, _KEYS), 2):
        digest = line["sha256"]
        if digest in found:
            found[digest] = replace(found[digest], phase=line["phase"], answer=line["answer"])
        else:
            found[digest] = _drive(path, number, line)
    return list(found.values())


def _drive(path: Path, number: int, line: dict[str, Any]) -> KeptDrive:
    missing = [name for name in _NEEDED if name not in line]
    if missing:
        raise UserError(
            f"{path}, line {number}", f"this record is damaged: it has no {', '.join(missing)}",
            "a record as it was written is wanted",
            "Nothing was changed. Put the file back from a copy",
        )  # fmt: skip
    return KeptDrive(**{name: line[name] for name in _NEEDED})


def _told_apart(path: Path, kept: list[KeptDrive], drive: KeptDrive, trace: Trace) -> KeptDrive:
    """The drive, marked as a twin of one kept if engine speed says so."""
    unclear = False
    for other in kept:
        if other.twin_of:
            continue
        found: Twins = compare(_trace(path, other.sha256), trace)
        if found.likeness is Likeness.SAME:
            return replace(drive, twin_of=other.sha256, lag=round(found.lag, 1))
        unclear |= found.likeness is Likeness.CANNOT_TELL
    return replace(drive, told_apart=not unclear)


def _trace_path(path: Path, digest: str) -> Path:
    return path.parent / "traces" / f"{digest}.parquet"


def _parquet(trace: Trace) -> bytes:
    held = io.BytesIO()
    pl.DataFrame({"engine_speed": trace.speed.astype(np.float32)}).write_parquet(held)
    return held.getvalue()


def _trace(path: Path, digest: str) -> Trace:
    where = _trace_path(path, digest)
    try:
        column = pl.read_parquet(where)["engine_speed"]
    except (OSError, PolarsError):
        raise UserError(
            str(where), "this record is damaged: its engine speed cannot be read",
            "a record as it was written is wanted",
            "Nothing was changed. Put the file back from a copy",
        ) from None  # fmt: skip
    return Trace(column.to_numpy().astype(np.float64))
