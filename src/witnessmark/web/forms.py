"""What arrives with a form: texts cut to size, names made fit to show, files read with a limit."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from witnessmark.errors import UserError
from witnessmark.jobs.text_file import decoded
from witnessmark.logs.recordings.dbc import Dbc, dbc_of

# The longest build sheet we can think of has 20 kB; a frozen plan of it twenty times that.
TEXT_LIMIT = 1_000_000  # bytes
_MOST_FILES, _MOST_FIELDS = 2, 8
_MOST_DBCS, _DBC_LIMIT = 4, 10_000_000  # bytes; the DBC of a whole truck has a tenth of it
DRIVE_FILES = 2 + _MOST_DBCS  # log, calibration, DBCs
_NAME_SHOWN = 120  # characters


@dataclass(frozen=True)
class Sent:
    """A file that came with a form. `name` is only ever shown."""

    name: str
    file: UploadFile

    async def text(self, wanted: str) -> str:
        """The file as text. Raises UserError if it is too long or no text."""
        data = await self.file.read(TEXT_LIMIT + 1)
        if len(data) > TEXT_LIMIT:
            raise UserError(
                self.name, f"it is over {TEXT_LIMIT // 1_000_000} MB", f"{wanted} is wanted",
                "Look whether this is the right file",
            )  # fmt: skip
        return decoded(data, self.name, wanted)


@asynccontextmanager
async def form_of(
    request: Request, files: int = _MOST_FILES, fields: int = _MOST_FIELDS
) -> AsyncIterator[FormData]:
    """The request's form; its files are gone after the block. `files`, `fields`: most of each."""
    limits = {"max_files": files, "max_fields": fields, "max_part_size": TEXT_LIMIT}
    async with request.form(**limits) as form:
        yield form


def text_in(form: FormData, field: str) -> str:
    """What was typed into a field, lines ended as in a file; "" if nothing."""
    value = form.get(field)
    return value.replace("\r\n", "\n") if isinstance(value, str) else ""


def file_in(form: FormData, field: str) -> Sent | None:
    """The file chosen in a field, None if none was."""
    value = form.get(field)
    if not isinstance(value, UploadFile) or not (value.filename or value.size):
        return None
    return Sent(shown_name(value.filename or ""), value)


def files_in(form: FormData, field: str) -> list[Sent]:
    """All files chosen in a field that takes several."""
    chosen = (v for v in form.getlist(field) if isinstance(v, UploadFile))
    return [Sent(shown_name(v.filename or ""), v) for v in chosen if v.filename or v.size]


def shown_name(name: str) -> str:
    """A file's name without its folders, without anything that cannot be printed."""
    last = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in last).strip()
    return kept[:_NAME_SHOWN] or "the file"


async def dbcs_in(form: FormData) -> tuple[Dbc, ...]:
    """The DBCs sent, none if none was. Raises UserError."""
    found = []
    for sent in files_in(form, "dbc"):
        data = await sent.file.read(_DBC_LIMIT + 1)
        if len(data) > _DBC_LIMIT:
            raise UserError(
                sent.name, f"it is over {_DBC_LIMIT // 1_000_000} MB", "a DBC is wanted",
                "Look whether this is the right file",
            )  # fmt: skip
        found.append(dbc_of(data, sent.name))
    return tuple(found)
