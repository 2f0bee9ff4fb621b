"""The text of a small file that a person wrote or kept: a build sheet, a recipe, a plan."""

from pathlib import Path

from witnessmark.errors import UserError

_MOST = 5_000_000  # bytes; the largest of them, a frozen plan, has a few hundred thousand
_LOOK = "Look at the name, the folder and its permissions"
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


def read_text(path: Path, wanted: str) -> str:
    """The text of a file.

    `wanted` : what it should be, for the fault: "a build sheet, a TOML file".
    Raises UserError if there is no such file, it cannot be opened, or it is not plain text.
    """
    wrong = ""
    if not path.exists():
        wrong = "there is no such file"
    elif path.is_dir():
        wrong = "this is a folder"
    elif path.is_file() and path.stat().st_size > _MOST:
        wrong = "it is far too big"
    if wrong:
        raise UserError(str(path), wrong, f"{wanted} is wanted", _LOOK)
    try:
        return decoded(path.read_bytes(), str(path), wanted)
    except OSError as error:
        found = f"it cannot be opened ({error.strerror})"
        raise UserError(str(path), found, "a file you may read is wanted", _LOOK) from None


def decoded(content: bytes, where: str, wanted: str) -> str:
    """The text in the bytes of such a file, unchanged. Raises UserError if it is none."""
    try:
        text = content.decode("utf-16" if content.startswith(_UTF16) else "utf-8")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        remedy = "Save it as plain text, UTF-8"
        raise UserError(where, "it is not plain text in UTF-8", f"{wanted} is wanted", remedy)
    return text
