"""Routes for a first heat: send one recording, see its phases beside the plan."""

from asyncio import Semaphore
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool

from witnessmark.errors import UserError
from witnessmark.jobs.first_heat import HEAT
from witnessmark.jobs.stopped import refuse_stopped
from witnessmark.report.html import Frame
from witnessmark.web import work
from witnessmark.web.forms import DRIVE_FILES, dbcs_in, file_in, form_of, text_in
from witnessmark.web.pages import download, page, part, see
from witnessmark.web.plans import gone
from witnessmark.web.store import Drive, Heat, Plan, Store, new_name

_AT_ONCE = 2  # recordings in memory; the others wait on the disk until it is their turn


def phase_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()
    in_memory = Semaphore(_AT_ONCE)

    @routes.get("/plans/{name}/first-heat")
    def ask(name: str) -> Response:
        plan = store.find(name, Plan)
        if plan is None:
            return gone()
        try:
            refuse_stopped(plan.plan)
        except UserError as error:
            return _page(_nothing_yet(name, plan), error)
        return _page(_nothing_yet(name, plan))

    @routes.post("/plans/{name}/first-heat")
    async def send(name: str, request: Request) -> Response:
        # The form is read before anything is answered: a browser shows no page while it sends.
        async with form_of(request, files=DRIVE_FILES) as form:
            plan = store.find(name, Plan)
            if plan is None:
                return gone()
            empty = replace(_nothing_yet(name, plan), columns=text_in(form, "columns"))
            log, taught = file_in(form, "log"), file_in(form, "calibration")
            if log is None:
                return _page(empty, _no_log())
            async with in_memory:
                try:
                    text = await taught.text("a calibration") if taught else ""
                    buses = await dbcs_in(form)
                except UserError as error:
                    return _page(empty, error)
                data = await log.file.read()
                called = taught.name if taught else ""
                return await _found(
                    replace(empty, name=log.name, data=data, calibration=text,
                            calibration_name=called, buses=buses)
                )  # fmt: skip

    @routes.post("/first-heats/{name}")
    async def again(name: str, request: Request) -> Response:
        async with form_of(request, files=DRIVE_FILES) as form:
            sent, taught = store.find(name, Heat), file_in(form, "calibration")
            if sent is None:
                return gone()
            drive = replace(sent.drive, columns=text_in(form, "columns"))
            try:
                if taught:
                    text = await taught.text("a calibration")
                    drive = replace(drive, calibration=text, calibration_name=taught.name)
                buses = await dbcs_in(form)
            except UserError as error:
                return _page(drive, error, name)
            if buses or text_in(form, "no_dbc"):
                drive = replace(drive, buses=buses)
        return await _found(drive)

    async def _found(drive: Drive) -> Response:
        name = new_name()
        try:
            made = await run_in_threadpool(work.find_phases, Heat(drive), _frame(name, drive))
        except UserError as error:
            return _page(drive, error, store.keep(Heat(drive), name))
        return see(f"/first-heats/{store.keep(made, name)}")

    @routes.get("/first-heats/{name}")
    def show(name: str) -> Response:
        sent = store.find(name, Heat)
        if sent is None:
            return gone()
        return HTMLResponse(sent.page) if sent.page else _page(sent.drive, name=name)

    @routes.get("/first-heats/{name}/phases.json")
    def data(name: str) -> Response:
        sent = store.find(name, Heat)
        if sent is None or sent.found is None:
            return gone()
        serial = sent.drive.plan.plan.serial
        return download(work.phases_data(sent.found), f"{serial} first heat.json")

    return routes


def _nothing_yet(name: str, plan: Plan) -> Drive:
    return Drive(name, plan, HEAT, "", b"", "")


def _page(drive: Drive, error: UserError | None = None, name: str = "") -> HTMLResponse:
    """The form: free, or with the recording that is here and what is wrong with it."""
    status, faults = (400, error.faults) if error else (200, ())
    return page("heat", status, faults=faults, **_fields(drive, name))


def _fields(drive: Drive, name: str) -> dict[str, object]:
    plan = drive.plan.plan
    return {
        "plan": drive.plan_id, "serial": plan.serial, "engine": plan.engine,
        "columns": drive.columns, "log_name": drive.name if name else "",
        "calibration_name": drive.calibration_name,
        "dbc_names": ", ".join(dbc.name for dbc in drive.buses),
        "action": f"/first-heats/{name}" if name else f"/plans/{drive.plan_id}/first-heat",
    }  # fmt: skip


def _frame(name: str, drive: Drive) -> Frame:
    return Frame(
        head=part("head"),
        above=part("bar"),
        after_heading=part("heat_panel", id=name, plan=drive.plan_id),
        below=part("heat_again", **_fields(drive, name)),
    )


def _no_log() -> UserError:
    return UserError("Recording", "no file was chosen", "the recording of a first heat is wanted",
                     "Choose the file the logger wrote")  # fmt: skip
