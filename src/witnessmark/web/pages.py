"""Every page of the web face, from its template; no text of a user's enters one unescaped."""

import re
from functools import cache

from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment
from markupsafe import Markup

from witnessmark.errors import ended
from witnessmark.report.html import templates
from witnessmark.web.guard import UPLOAD_LIMIT

# Jobs name the command line's options; a page says the same of its own fields.
_OPTION = re.compile(r"--channel '(.*?)'(?=$|[\s,.;:])")
_SHARE_OF = re.compile(r": --fuel LOG=\S+")  # a form has one field for each log: no name is wanted
_COLUMNS = "Columns put right"
_DBC, _DBC_OPTION = "DBC of the bus", "--dbc FILE"
_KINDS = {"pdf": ("application/pdf", "inline"), "json": ("application/json", "attachment"),
          "zip": ("application/zip", "attachment")}  # fmt: skip
_NOT_IN_NAMES = re.compile(r"[^A-Za-z0-9.]+")  # nothing a header or a file system trips over
_FIELDS = {"--phase": "Phase", "--channel": _COLUMNS, "recipe": "Recipe",
           "--fuel": "Fuel in the oil"}  # fmt: skip


@cache
def _environment() -> Environment:
    environment = templates("witnessmark.web")
    environment.globals["upload_mb"] = f"{UPLOAD_LIMIT // 1_000_000:,}"
    environment.filters["here"] = said_here
    environment.filters["place"] = place_here
    environment.filters["ended"] = ended
    return environment


def page(name: str, status: int = 200, **values: object) -> HTMLResponse:
    """A page of its own. `name`: template without ".html.j2"; `values`: what it needs."""
    faults = values.setdefault("faults", ())
    values["title_before"] = "To put right: " if faults else ""
    text = _environment().get_template(f"{name}.html.j2").render(values)
    return HTMLResponse(text, status)


def part(name: str, **values: object) -> Markup:
    """A piece of a page that a report is framed with."""
    return Markup(_environment().get_template(f"{name}.html.j2").render(values))


def notice(status: int, title: str, said: str) -> HTMLResponse:
    """A page that says one thing and leads back to the start."""
    return page("notice", status, title=title, said=said)


def said_here(text: str) -> str:
    """A sentence with the field of the page in place of the command's option."""
    text = text.replace(_DBC_OPTION, f"under “{_DBC}”")
    said, options = _OPTION.subn(r"\1", _SHARE_OF.sub("", text))
    return f"{said} (under “{_COLUMNS}”)" if options else said


def place_here(where: str) -> str:
    """Where a fault lies, with the page's word for a command's option."""
    return _FIELDS.get(where, _OPTION.sub(rf"{_COLUMNS}, \1", where))


def see(path: str) -> RedirectResponse:
    """Send the browser on after a form, so that reloading sends nothing twice."""
    return RedirectResponse(path, 303)


def download(data: bytes, name: str) -> Response:
    """A file to keep; a PDF opens in the browser first. `name` may hold anything."""
    kind, how = _KINDS[name.rpartition(".")[2]]
    plain = _NOT_IN_NAMES.sub("-", name).strip("-.")
    return Response(
        data, media_type=kind, headers={"Content-Disposition": f'{how}; filename="{plain}"'}
    )
