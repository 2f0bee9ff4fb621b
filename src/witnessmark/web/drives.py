"""Routes for drives: send a log of a phase, see the verdict, put columns right and judge again."""

from asyncio import Semaphore
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from witnessmark.errors import UserError
from witnessmark.jobs.stopped import refuse_stopped
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.report.html import Frame
from witnessmark.web import work
from witnessmark.web.forms import DRIVE_FILES, dbcs_in, file_in, form_of, text_in
from witnessmark.web.pages import download, page, part, see
from witnessmark.web.plans import gone
from witnessmark.web.store import Drive, Plan, Store, new_name

_LOGS_AT_ONCE = 2  # in memory; the others wait on the disk until it is their turn


def drive_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()
    in_memory = Semaphore(_LOGS_AT_ONCE)

    @routes.get("/plans/{name}/drive")
    def ask(name: str, phase: str = "") -> Response:
        plan = store.find(name, Plan)
        if plan is None:
            return gone()
        try:
            refuse_stopped(plan.plan)
        except UserError as error:
            return _form_page(name, plan, phase, error=error)
        return _form_page(name, plan, phase)

    @routes.post("/plans/{name}/drive")
    async def send(name: str, request: Request) -> Response:
        # The form is read before anything is answered: a browser shows no page while it sends.
        async with form_of(request, files=DRIVE_FILES) as form:
            phase, columns = text_in(form, "phase"), text_in(form, "columns")
            sent = file_in(form, "log")
            plan = store.find(name, Plan)
            if plan is None:
                return gone()
            if sent is None:
                return _form_page(name, plan, phase, columns, _no_log())
            try:
                learned, dbcs = await _calibration(form), await dbcs_in(form)
            except UserError as error:
                return _form_page(name, plan, phase, columns, error)
            async with in_memory:
                data = await sent.file.read()
                drive = Drive(name, plan, phase, sent.name, data, columns, *learned, dbcs)
                return await _judged(drive)

    @routes.post("/reviews/{name}")
    async def again(name: str, request: Request) -> Response:
        async with form_of(request, files=DRIVE_FILES) as form:
            phase, columns = text_in(form, "phase"), text_in(form, "columns")
            drive = store.find(name, Drive)
            if drive is None:
                return gone()
            drive = replace(drive, phase=phase, columns=columns, review=None, page="")
            try:
                (text, called), dbcs = await _calibration(form), await dbcs_in(form)
            except UserError as error:
                return _again_page(name, drive, error)
        if text or text_in(form, "no_calibration"):
            drive = replace(drive, calibration=text, calibration_name=called)
        if dbcs or text_in(form, "no_dbc"):
            drive = replace(drive, buses=dbcs)
        return await _judged(drive)

    async def _judged(drive: Drive) -> Response:
        name = new_name()
        try:
            judged = await run_in_threadpool(
                work.judge, drive, verdict_frame(name, drive), store.shop
            )
        except UserError as error:
            return _again_page(store.keep(drive, name), drive, error)
        return see(f"/reviews/{store.keep(judged, name)}")

    @routes.get("/reviews/{name}")
    def show(name: str) -> Response:
        drive = store.find(name, Drive)
        if drive is None:
            return gone()
        if drive.review is None:
            return _again_page(name, drive)
        return HTMLResponse(drive.page)

    @routes.get("/reviews/{name}/verdict.pdf")
    def card(name: str) -> Response:
        drive = store.find(name, Drive)
        if drive is None or drive.review is None:
            return gone()
        return download(work.verdict_card(drive.review), f"{_title(drive)}.pdf")

    @routes.get("/reviews/{name}/verdict.json")
    def data(name: str) -> Response:
        drive = store.find(name, Drive)
        if drive is None or drive.review is None:
            return gone()
        return download(work.verdict_data(drive.review), f"{_title(drive)}.json")

    return routes


async def _calibration(form: FormData) -> tuple[str, str]:
    """Text and name of the calibration sent, both "" if none was. Raises UserError."""
    sent = file_in(form, "calibration")
    return ("", "") if sent is None else (await sent.text("a calibration"), sent.name)


def _form_page(
    name: str, plan: Plan, phase: str, columns: str = "", error: UserError | None = None
) -> HTMLResponse:
    status, faults = (400, error.faults) if error else (200, ())
    action = f"/plans/{name}/drive"
    return page("drive", status, faults=faults, **_fields(name, plan, phase, columns, action))


def _again_page(name: str, drive: Drive, error: UserError | None = None) -> HTMLResponse:
    """The log is here but could not be judged: what is wrong, and the form to put it right."""
    status, faults = (400, error.faults) if error else (200, ())
    return page("drive", status, faults=faults, **_again_fields(name, drive))


def _again_fields(name: str, drive: Drive) -> dict[str, object]:
    action = f"/reviews/{name}"
    fields = _fields(drive.plan_id, drive.plan, drive.phase, drive.columns, action)
    dbcs = ", ".join(dbc.name for dbc in drive.buses)
    kept = {"log_name": drive.name, "calibration_name": drive.calibration_name, "dbc_names": dbcs}
    return {**fields, **kept}


def _fields(name: str, plan: Plan, phase: str, columns: str, action: str) -> dict[str, object]:
    phases = [one for one in plan.plan.phases if one.reviewed]
    chosen = phases[0].id if len(phases) == 1 else phase
    return {
        "plan": name, "serial": plan.plan.serial, "engine": plan.plan.engine, "moved": plan.moved,
        "phases": phases, "phase": chosen, "columns": columns, "action": action, "log_name": "",
        "calibration_name": "", "dbc_names": "",
        "known": list(vocabulary().entries.values()),
    }  # fmt: skip


def verdict_frame(name: str, drive: Drive) -> Frame:
    """What stands around a verdict: its downloads, and the form to judge again."""
    return Frame(
        head=part("head"),
        above=part("bar"),
        after_heading=part("review_panel", id=name, plan=drive.plan_id),
        below=part("review_again", **_again_fields(name, drive)),
    )


def _title(drive: Drive) -> str:
    return f"{drive.plan.plan.serial} {drive.phase} verdict"


def _no_log() -> UserError:
    return UserError("Drive log", "no file was chosen", "the log of one drive is wanted",
                     "Choose the file the logger wrote")  # fmt: skip
