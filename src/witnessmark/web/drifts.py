"""Routes for drift: send several logs of one engine, see what changed, take the answer along."""

from asyncio import Semaphore
from collections import Counter
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from witnessmark.errors import UserError
from witnessmark.report.html import Frame
from witnessmark.web import work
from witnessmark.web.forms import file_in, form_of, text_in
from witnessmark.web.pages import download, page, part, see
from witnessmark.web.plans import gone, no_sheet
from witnessmark.web.store import Comparison, Later, Plan, Store, new_name

_AT_ONCE = 1  # comparison in memory; the others wait on the disk until it is their turn
ROWS = ("First log", "Second log", "Third log", "Fourth log", "Fifth log", "Sixth log")
_FIELDS = 3 * len(ROWS) + 2  # what is said of each log's oil, columns, and room


def drift_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()
    in_memory = Semaphore(_AT_ONCE)

    @routes.get("/plans/{name}/drift")
    def ask(name: str) -> Response:
        plan = store.find(name, Plan)
        if plan is None:
            return gone()
        return _page(_nothing_yet(name, plan)) if plan.sheet else no_sheet()

    @routes.post("/plans/{name}/drift")
    async def send(name: str, request: Request) -> Response:
        # The form is read before anything is answered: a browser shows no page while it sends.
        async with form_of(request, files=len(ROWS) + 1, fields=_FIELDS) as form:
            plan = store.find(name, Plan)
            if plan is None:
                return gone()
            if not plan.sheet:
                return no_sheet()
            async with in_memory:
                empty = _typed(_nothing_yet(name, plan), form)
                try:
                    sent = await _received(empty, form)
                except UserError as error:
                    return _page(empty, error)
                return await _compared(sent)

    @routes.post("/drifts/{name}")
    async def again(name: str, request: Request) -> Response:
        async with form_of(request, fields=_FIELDS) as form:
            sent = store.find(name, Comparison)
            if sent is None:
                return gone()
            return await _compared(replace(_typed(sent, form), found=None, page=""))

    async def _compared(sent: Comparison) -> Response:
        name = new_name()
        try:
            made = await run_in_threadpool(work.compare, sent, _frame(name, sent))
        except UserError as error:
            return _page(sent, error, store.keep(sent, name))
        return see(f"/drifts/{store.keep(made, name)}")

    @routes.get("/drifts/{name}")
    def show(name: str) -> Response:
        sent = store.find(name, Comparison)
        if sent is None:
            return gone()
        return HTMLResponse(sent.page) if sent.page else _page(sent, name=name)

    @routes.get("/drifts/{name}/drift.json")
    def data(name: str) -> Response:
        sent = store.find(name, Comparison)
        if sent is None or sent.found is None:
            return gone()
        return download(work.drift_data(sent), f"{sent.found.serial} drift.json")

    return routes


def _nothing_yet(name: str, plan: Plan) -> Comparison:
    """A comparison nothing was sent for: every row free."""
    return Comparison(name, plan, tuple(Later("", b"") for _ in ROWS), "")


def _typed(sent: Comparison, form: FormData) -> Comparison:
    """The comparison with what was typed into its rows."""
    logs = tuple(
        replace(
            log, new_oil=bool(text_in(form, f"new-oil-{row}")),
            grade=text_in(form, f"grade-{row}"), fuel=text_in(form, f"fuel-{row}"),
        )
        for row, log in enumerate(sent.logs, 1)
    )  # fmt: skip
    return replace(sent, logs=logs, columns=text_in(form, "columns"))


async def _received(empty: Comparison, form: FormData) -> Comparison:
    """The comparison with the files that came, rows left free taken out. Raises UserError."""
    kept = file_in(form, "calibration")
    text = await kept.text("a calibration") if kept else ""
    files = [file_in(form, f"log-{row}") for row in range(1, len(ROWS) + 1)]
    _refuse_too_few(empty, [file is not None for file in files], kept is not None)
    names = Counter(file.name for file in files if file)
    logs = []
    for title, log, file in zip(ROWS, empty.logs, files, strict=True):
        if file:
            # Many loggers call every file the same: the row then tells them apart.
            name = file.name if names[file.name] == 1 else f"{title}, {file.name}"
            logs.append(replace(log, name=name, data=await file.file.read()))
    return replace(
        empty, logs=tuple(logs), calibration=text, calibration_name=kept.name if kept else ""
    )


def _refuse_too_few(empty: Comparison, there: list[bool], calibrated: bool) -> None:
    for title, log, file in zip(ROWS, empty.logs, there, strict=True):
        if not file and _said(log):
            raise UserError(
                title, "something is said of its oil, but no file was chosen",
                "a log for what is said is wanted", "Choose the file, or empty what is said",
            )  # fmt: skip
    if not there[0] and not calibrated:
        raise UserError(
            ROWS[0], "no file was chosen, and no calibration either",
            "something to hold the later logs against is wanted",
            "Choose the oldest log, or a calibration of this engine",
        )  # fmt: skip
    if not any(there[1:]):
        raise UserError(ROWS[1], "no file was chosen", "at least one later log is wanted",
                        "Choose the file the logger wrote")  # fmt: skip


def _said(log: Later) -> bool:
    """Whether anything is said of a log's oil."""
    return log.new_oil or bool(log.grade.strip() or log.fuel.strip())


def _page(sent: Comparison, error: UserError | None = None, name: str = "") -> HTMLResponse:
    """The form: free, or with the logs that are here and what is wrong with them."""
    status, faults = (400, error.faults) if error else (200, ())
    return page("drift", status, faults=faults, **_fields(sent, name))


def _fields(sent: Comparison, name: str = "") -> dict[str, object]:
    rows = [
        {"number": row, "log": log, "title": log.name or title}
        for row, (title, log) in enumerate(zip(ROWS, sent.logs, strict=False), 1)
    ]
    return {
        "plan": sent.plan_id, "serial": sent.plan.plan.serial, "engine": sent.plan.plan.engine,
        "columns": sent.columns, "calibration_name": sent.calibration_name, "rows": rows,
        "open": any(map(_said, sent.logs[2:])),
        "here": bool(name), "action": f"/drifts/{name}" if name else f"/plans/{sent.plan_id}/drift",
    }  # fmt: skip


def _frame(name: str, sent: Comparison) -> Frame:
    return Frame(
        head=part("head"),
        above=part("bar"),
        after_heading=part("drift_panel", id=name, plan=sent.plan_id),
        below=part("drift_again", **_fields(sent, name)),
    )
