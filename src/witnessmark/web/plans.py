"""Routes for plans: send a build sheet or a frozen plan, see it, take it along."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool

from witnessmark.errors import UserError
from witnessmark.report.html import Frame
from witnessmark.web import work
from witnessmark.web.forms import file_in, form_of, text_in
from witnessmark.web.pages import download, notice, page, part, see
from witnessmark.web.store import Plan, Store

PASTED = "Build sheet"
_EITHER = "a build sheet or a frozen plan"


def plan_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()

    @routes.get("/")
    def start() -> HTMLResponse:
        return start_page(engines=store.shop is not None)

    @routes.post("/plans")
    async def send(request: Request) -> Response:
        async with form_of(request) as form:
            typed, recipe = text_in(form, "sheet"), text_in(form, "recipe")
            to_drive = text_in(form, "next") == "drive"
            sent = file_in(form, "file")
            try:
                text = await sent.text(_EITHER) if sent else typed
            except UserError as error:
                return start_page(typed, recipe, error)
        try:
            if sent and typed.strip():
                raise _both(sent.name)
            if not text.strip():
                raise _nothing(sent.name if sent else PASTED)
            where = sent.name if sent else PASTED
            plan = await run_in_threadpool(work.plan_from, text, where, recipe)
        except UserError as error:
            # What came as a file is put into the field, where it can be mended.
            return start_page(typed or text, recipe, error)
        name = store.keep(plan)
        return see(f"/plans/{name}/drive" if to_drive else f"/plans/{name}")

    @routes.get("/plans/{name}")
    def show(name: str) -> Response:
        plan = store.find(name, Plan)
        return HTMLResponse(work.plan_page(plan, _frame(name, plan))) if plan else gone()

    @routes.get("/plans/{name}/sheet")
    def change(name: str) -> Response:
        plan = store.find(name, Plan)
        return start_page(plan.sheet, plan.recipe) if plan else gone()

    @routes.get("/plans/{name}/job-card.pdf")
    def card(name: str) -> Response:
        plan = store.find(name, Plan)
        if plan is None:
            return gone()
        return download(work.job_card(plan), f"{plan.plan.serial} job card.pdf")

    @routes.get("/plans/{name}/plan.json")
    def frozen(name: str) -> Response:
        plan = store.find(name, Plan)
        return download(plan.frozen, f"{plan.plan.serial} plan.json") if plan else gone()

    return routes


def start_page(
    sheet: str = "", recipe: str = "", error: UserError | None = None, engines: bool = False
) -> HTMLResponse:
    """The first page, with what was typed still in its fields and what is wrong with it."""
    recipes = [one.file for one in work.book().recipes]
    faults = error.faults if error else ()
    status = 400 if error else 200
    return page(
        "start", status, recipes=recipes, sheet=sheet, recipe=recipe, faults=faults,
        engines=engines,
    )  # fmt: skip


def gone() -> HTMLResponse:
    """For a name nothing is kept under."""
    return notice(
        404, "This is no longer here",
        "Plans and verdicts are kept only while the program runs, and the oldest make room for "
        "new ones. Send the build sheet or the saved plan again.",
    )  # fmt: skip


def no_sheet() -> HTMLResponse:
    """For a plan that was sent frozen, where the build itself is needed."""
    return notice(
        409, "This needs the build sheet",
        "A frozen plan does not hold the bearings, their clearances and the oil pump. Send the "
        "build sheet itself from the start page, then ask again.",
    )  # fmt: skip


def _frame(name: str, plan: Plan) -> Frame:
    panel = part(
        "plan_panel", id=name, moved=plan.moved, sheet=plan.sheet,
        stopped=plan.plan.stopped is not None,
        assumed=len(plan.plan.assumptions),
        all_phases=plan.plan.phases,
        phases=[phase for phase in plan.plan.phases if phase.reviewed],
    )  # fmt: skip
    return Frame(head=part("head"), above=part("bar"), after_heading=panel)


def _both(name: str) -> UserError:
    return UserError(
        PASTED, f"both a file ({name}) and a pasted text", "one of them is wanted",
        "Empty the field to send the file, or send the text alone",
    )  # fmt: skip


def _nothing(where: str) -> UserError:
    return UserError(where, "nothing is in it", f"{_EITHER} is wanted",
                     "Choose the file, or paste its text")  # fmt: skip
