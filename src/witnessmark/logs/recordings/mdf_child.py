"""A process of its own that reads one measurement file for `mdf.py`.

Code in C reads these files, and a damaged one can make it write where it must not and die; then
this process dies, and the one that asked says that the file is damaged. It is called with the
path; its first line says what the file holds. Each line it is sent asks for the times or the
readings of a channel, and is answered by a line and the bytes it announces. Its own screen is
closed: the library prints pages of what it finds in a damaged file.
"""

import json
import os
import sys
from pathlib import Path
from typing import IO, Any

import numpy as np

_INVALID_FLAGS = 3  # flags of a channel some of whose readings are marked as invalid


def listing(file: Any) -> dict[str, Any]:
    """Groups with readings, their channels, and when the measurement began."""
    groups = []
    for at, group in enumerate(file.groups):
        head = group.channel_group
        if not head.cycles_nr:
            continue
        channels = [
            {"name": c.name, "index": i, "invalid": bool(getattr(c, "flags", 0) & _INVALID_FLAGS),
             "unit": file.get_channel_unit(group=at, index=i) or ""}
            for i, c in enumerate(group.channels) if i != file.masters_db.get(at)
        ]  # fmt: skip
        groups.append({
            "at": at, "name": str(getattr(head, "acq_name", "") or ""), "channels": channels,
            "cycles": int(head.cycles_nr), "flags": int(getattr(head, "flags", 0)),
        })  # fmt: skip
    started = file.header.start_time
    return {"groups": groups, "started": started.isoformat() if started else ""}


def answer(file: Any, asked: dict[str, Any]) -> Any:
    """The array or the texts asked for; None for a channel with several numbers a reading."""
    place = {"group": asked["group"], "index": asked["index"]}
    if asked["what"] == "master":
        return np.asarray(file.get_master(asked["group"]), dtype=np.float64)
    signal = file.get(**place)
    if asked["what"] == "time":
        return np.asarray(signal.timestamps, dtype=np.float64)
    samples = np.asarray(signal.samples)
    if samples.dtype.names or (samples.ndim > 1 and asked["what"] != "table"):
        return None
    if samples.dtype.kind in "biuf":
        return np.ascontiguousarray(samples)
    return [_text(each) for each in samples.tolist()]


def _text(cell: Any) -> str:
    if isinstance(cell, bytes):
        return cell.decode("utf-8", errors="replace").strip("\0 ")
    return str(cell)


def send(out: IO[bytes], head: dict[str, Any], body: bytes = b"") -> None:
    """One line, and the bytes it announces."""
    out.write(json.dumps({**head, "bytes": len(body)}).encode() + b"\n" + body)
    out.flush()


def serve(path: Path, asked: IO[bytes], out: IO[bytes]) -> None:
    """Answer until nothing more is asked."""
    import asammdf  # noqa: PLC0415 - comes with the extra; only this process wants it

    file = asammdf.MDF(path)
    send(out, listing(file))
    for line in asked:
        found = answer(file, json.loads(line))
        if isinstance(found, list):
            send(out, {"kind": "text"}, json.dumps(found).encode())
        elif found is None:
            send(out, {"kind": "nested"})
        else:
            head = {"kind": "array", "type": found.dtype.str, "shape": found.shape}
            send(out, head, found.tobytes())


if __name__ == "__main__":
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    try:
        serve(Path(sys.argv[1]), sys.stdin.buffer, answers)
    finally:
        os._exit(0)  # the library complains while it is let go
