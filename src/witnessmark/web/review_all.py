"""Routes for several logs at once: send them, see a table with a link to each verdict."""

from asyncio import Semaphore

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool

from witnessmark.errors import UserError
from witnessmark.jobs.review_all import Reviewed, reviewed, together
from witnessmark.jobs.stopped import refuse_stopped
from witnessmark.report.html import Frame
from witnessmark.report.review_all.page import batch_html
from witnessmark.web import work
from witnessmark.web.drives import verdict_frame
from witnessmark.web.forms import files_in, form_of, text_in
from witnessmark.web.pages import page, part, see
from witnessmark.web.plans import gone
from witnessmark.web.store import Drive, Plan, Several, Store, new_name

MOST_LOGS = 40  # in one form; the command takes any number
_BATCHES_AT_ONCE = 1


def review_all_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()
    at_once = Semaphore(_BATCHES_AT_ONCE)

    @routes.get("/plans/{name}/drives")
    def ask(name: str, phase: str = "") -> Response:
        plan = store.find(name, Plan)
        if plan is None:
            return gone()
        try:
            refuse_stopped(plan.plan)
        except UserError as error:
            return _form_page(name, plan, phase, error=error)
        return _form_page(name, plan, phase)

    @routes.post("/plans/{name}/drives")
    async def send(name: str, request: Request) -> Response:
        # One file more than we take is let in, so that too many get a word and not an error.
        async with form_of(request, files=2 * MOST_LOGS) as form:
            phase, columns = text_in(form, "phase"), text_in(form, "columns")
            sent = files_in(form, "logs")
            plan = store.find(name, Plan)
            if plan is None:
                return gone()
            if not 1 <= len(sent) <= MOST_LOGS:
                return _form_page(name, plan, phase, columns, _wrong_number(len(sent)))
            async with at_once:
                lines, links = [], []
                for one in sent:
                    drive = Drive(name, plan, phase, one.name, await one.file.read(), columns)
                    line, link = await run_in_threadpool(_judged, store, drive)
                    lines.append(line)
                    links.append(link)
        found = together(plan.plan, phase, lines)
        frame = Frame(head=part("head"), above=part("bar"),
                      after_heading=part("review_all_panel", plan=name))  # fmt: skip
        shown = batch_html(found, plan.plan.prefer, frame, tuple(links))
        return see(f"/batches/{store.keep(Several(shown))}")

    @routes.get("/batches/{name}")
    def show(name: str) -> Response:
        several = store.find(name, Several)
        return HTMLResponse(several.page) if several else gone()

    return routes


def _judged(store: Store, drive: Drive) -> tuple[Reviewed, str]:
    """The line of one log and where its own page is: the verdict, or the form to put it right."""
    name = new_name()
    try:
        drive = work.judge(drive, verdict_frame(name, drive), store.shop)
    except UserError as fault:
        line = Reviewed(drive.name, fault=fault)
    else:
        assert drive.review is not None
        line = reviewed(drive.name, drive.review)
    return line, f"/reviews/{store.keep(drive, name)}"


def _form_page(
    name: str, plan: Plan, phase: str, columns: str = "", error: UserError | None = None
) -> HTMLResponse:
    status, faults = (400, error.faults) if error else (200, ())
    phases = [one for one in plan.plan.phases if one.reviewed]
    return page(
        "review_all", status, faults=faults, plan=name, serial=plan.plan.serial,
        engine=plan.plan.engine, moved=plan.moved, phases=phases, columns=columns,
        phase=phases[0].id if len(phases) == 1 else phase, most=MOST_LOGS,
    )  # fmt: skip


def _wrong_number(number: int) -> UserError:
    if number == 0:
        return UserError("Drive logs", "no file was chosen", "the logs of some drives are wanted",
                         "Choose the files the logger wrote")  # fmt: skip
    return UserError(
        "Drive logs", f"{number} files were chosen", f"at most {MOST_LOGS} at once are taken here",
        "Send them in parts, or use 'witnessmark review-all'",
    )  # fmt: skip
