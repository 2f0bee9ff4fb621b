"""Routes for columns: send a log without a plan, see what each column was taken for and why."""

from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool

from witnessmark.errors import UserError
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.report.html import Frame
from witnessmark.web import channels_work as work
from witnessmark.web.forms import file_in, form_of, text_in
from witnessmark.web.pages import download, page, part, see
from witnessmark.web.plans import gone
from witnessmark.web.store import Drive, Looked, Store, new_name


def channel_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()

    @routes.get("/channels")
    def ask() -> Response:
        return _form_page(Looked("", b"", ""), "/channels")

    @routes.post("/channels")
    async def send(request: Request) -> Response:
        async with form_of(request) as form:
            typed = Looked("", b"", text_in(form, "columns"), text_in(form, "fuel"))
            sent, dbc = file_in(form, "log"), file_in(form, "dbc")
            if sent is None:
                return _form_page(typed, "/channels", _no_log())
            looked = replace(typed, name=sent.name, data=await sent.file.read())
            if dbc is not None:
                looked = replace(looked, dbc_name=dbc.name, dbc=await dbc.file.read())
        return await _looked(looked)

    @routes.post("/channels/{name}")
    async def again(name: str, request: Request) -> Response:
        async with form_of(request) as form:
            columns, fuel = text_in(form, "columns"), text_in(form, "fuel")
        looked = store.find(name, Looked)
        if looked is None:
            return gone()
        return await _looked(replace(looked, columns=columns, fuel=fuel, page="", found=b""))

    async def _looked(looked: Looked) -> Response:
        name = new_name()
        try:
            done = await run_in_threadpool(work.look, looked, _frame(name, looked), store.shop)
        except UserError as error:
            store.keep(looked, name)
            return _form_page(looked, f"/channels/{name}", error)
        return see(f"/channels/{store.keep(done, name)}")

    @routes.get("/channels/{name}")
    def show(name: str) -> Response:
        looked = store.find(name, Looked)
        if looked is None:
            return gone()
        if not looked.page:
            return _form_page(looked, f"/channels/{name}")
        return HTMLResponse(looked.page)

    @routes.get("/channels/{name}/channels.json")
    def data(name: str) -> Response:
        looked = store.find(name, Looked)
        if looked is None or not looked.found:
            return gone()
        return download(looked.found, f"{looked.name} channels.json")

    @routes.get("/reviews/{name}/channels")
    def of_review(name: str) -> Response:
        drive = store.find(name, Drive)
        if drive is None or drive.review is None:
            return gone()
        frame = Frame(
            head=part("head"), above=part("bar"), after_heading=part("channels_back", id=name)
        )
        return HTMLResponse(work.of_drive(drive, frame))

    return routes


def _form_page(looked: Looked, action: str, error: UserError | None = None) -> HTMLResponse:
    status, faults = (400, error.faults) if error else (200, ())
    return page("channels", status, faults=faults, **_fields(looked, action))


def _fields(looked: Looked, action: str) -> dict[str, object]:
    return {
        "action": action, "log_name": looked.name, "columns": looked.columns, "fuel": looked.fuel,
        "dbc_name": looked.dbc_name, "known": list(vocabulary().entries.values()),
        "fuels": list(vocabulary().fuels),
    }  # fmt: skip


def _frame(name: str, looked: Looked) -> Frame:
    fields = _fields(looked, f"/channels/{name}")
    return Frame(
        head=part("head"), above=part("bar"), after_heading=part("channels_panel", id=name),
        below=part("channels_again", **fields),
    )  # fmt: skip


def _no_log() -> UserError:
    return UserError("Drive log", "no file was chosen", "the log of one drive is wanted",
                     "Choose the file the logger wrote")  # fmt: skip
