"""Names for files inside a packet: whatever somebody called a file, it lands where it should."""

import re
import unicodedata

_NOT_SAFE = re.compile(r"[^A-Za-z0-9._ ()+-]+")
_RESERVED = re.compile(r"^(con|prn|aux|nul|com\d|lpt\d)(\.|$)", re.IGNORECASE)  # names of devices
_MOST = 80  # characters; an old file system holds 255 with the folders


def safe_name(name: str, otherwise: str) -> str:
    """A file's own name without folders and without what a file system trips over."""
    last = name.replace("\\", "/").rpartition("/")[2]
    plain = unicodedata.normalize("NFKD", last).encode("ascii", "ignore").decode()
    kept = _NOT_SAFE.sub("-", plain).strip(" .-")
    if len(kept) > _MOST:
        stem, dot, ending = kept.rpartition(".")
        short = dot and len(ending) < 10
        kept = f"{stem[: _MOST - len(ending) - 1]}.{ending}" if short else kept[:_MOST]
    if not kept:
        return otherwise
    return f"file-{kept}" if _RESERVED.match(kept) else kept


def slug(text: str) -> str:
    """Words as a part of a file name: "Engine speed ceiling" -> "engine-speed-ceiling"."""
    plain = unicodedata.normalize("NFKD", text.lower()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "moment"
