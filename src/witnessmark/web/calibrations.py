"""Routes for calibration: send a log, see what it teaches of the oil system, take it along."""

from asyncio import Semaphore
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool

from witnessmark.errors import UserError
from witnessmark.report.html import Frame
from witnessmark.web import work
from witnessmark.web.forms import file_in, form_of, text_in
from witnessmark.web.pages import download, page, part, see
from witnessmark.web.plans import gone, no_sheet
from witnessmark.web.store import Learning, Plan, Store, new_name

_AT_ONCE = 1  # log in memory; the others wait on the disk until it is their turn


def calibration_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()
    in_memory = Semaphore(_AT_ONCE)

    @routes.get("/plans/{name}/calibrate")
    def ask(name: str) -> Response:
        plan = store.find(name, Plan)
        if plan is None:
            return gone()
        return _form_page(name, plan) if plan.sheet else no_sheet()

    @routes.post("/plans/{name}/calibrate")
    async def send(name: str, request: Request) -> Response:
        # The form is read before anything is answered: a browser shows no page while it sends.
        async with form_of(request) as form:
            columns, held_out = text_in(form, "columns"), text_in(form, "held_out")
            sent = file_in(form, "log")
            plan = store.find(name, Plan)
            if plan is None:
                return gone()
            if not plan.sheet:
                return no_sheet()
            if sent is None:
                return _form_page(name, plan, columns, held_out, _no_log())
            async with in_memory:
                data = await sent.file.read()
                return await _learned(Learning(name, plan, sent.name, data, columns, held_out))

    @routes.post("/calibrations/{name}")
    async def again(name: str, request: Request) -> Response:
        async with form_of(request) as form:
            columns, held_out = text_in(form, "columns"), text_in(form, "held_out")
        sent = store.find(name, Learning)
        if sent is None:
            return gone()
        fresh = replace(sent, columns=columns, held_out=held_out, learned=None, page="")
        return await _learned(fresh)

    async def _learned(sent: Learning) -> Response:
        name = new_name()
        try:
            learned = await run_in_threadpool(work.learn, sent, _frame(name, sent))
        except UserError as error:
            return _again_page(store.keep(sent, name), sent, error)
        return see(f"/calibrations/{store.keep(learned, name)}")

    @routes.get("/calibrations/{name}")
    def show(name: str) -> Response:
        sent = store.find(name, Learning)
        if sent is None:
            return gone()
        return HTMLResponse(sent.page) if sent.page else _again_page(name, sent)

    @routes.get("/calibrations/{name}/calibration.json")
    def data(name: str) -> Response:
        sent = store.find(name, Learning)
        if sent is None or sent.learned is None:
            return gone()
        title = f"{sent.learned.serial} calibration.json"
        return download(work.calibration_data(sent.learned), title)

    return routes


def _form_page(
    name: str, plan: Plan, columns: str = "", held_out: str = "", error: UserError | None = None
) -> HTMLResponse:
    status, faults = (400, error.faults) if error else (200, ())
    fields = _fields(name, plan, columns, held_out, f"/plans/{name}/calibrate")
    return page("calibrate", status, faults=faults, **fields)


def _again_page(name: str, sent: Learning, error: UserError | None = None) -> HTMLResponse:
    """The log is here but taught nothing: what is wrong, and the form to put it right."""
    status, faults = (400, error.faults) if error else (200, ())
    return page("calibrate", status, faults=faults, **_again_fields(name, sent))


def _again_fields(name: str, sent: Learning) -> dict[str, object]:
    action = f"/calibrations/{name}"
    fields = _fields(sent.plan_id, sent.plan, sent.columns, sent.held_out, action)
    return {**fields, "log_name": sent.name}


def _fields(name: str, plan: Plan, columns: str, held_out: str, action: str) -> dict[str, object]:
    return {
        "plan": name, "serial": plan.plan.serial, "engine": plan.plan.engine, "log_name": "",
        "columns": columns, "held_out": held_out, "action": action,
    }  # fmt: skip


def _frame(name: str, sent: Learning) -> Frame:
    return Frame(
        head=part("head"),
        above=part("bar"),
        after_heading=part("calibration_panel", id=name, plan=sent.plan_id),
        below=part("calibrate_again", **_again_fields(name, sent)),
    )


def _no_log() -> UserError:
    return UserError("Log", "no file was chosen", "a log of this engine is wanted",
                     "Choose the file the logger wrote")  # fmt: skip
