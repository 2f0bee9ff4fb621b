"""Routes for the pressure band: see it, type a reading, get the answer. Nothing is kept."""

from fastapi import APIRouter
from fastapi.responses import HTMLResponse, Response

from witnessmark.errors import UserError
from witnessmark.report.html import Frame
from witnessmark.web import work
from witnessmark.web.pages import page, part
from witnessmark.web.plans import gone, no_sheet
from witnessmark.web.store import Plan, Store


def band_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()

    # A plain request: what was typed stands in the address, so the answer can be sent on.
    @routes.get("/plans/{name}/band")
    def show(name: str, reading: str = "", rpm: str = "", oil: str = "") -> Response:
        plan = store.find(name, Plan)
        if plan is None:
            return gone()
        if not plan.sheet:
            return no_sheet()
        fields = {"id": name, "reading": reading, "rpm": rpm, "oil": oil}
        try:
            asked = work.reading_from(reading, rpm, oil)
        except UserError as error:
            return _asked_again(plan, fields, error)
        try:
            return HTMLResponse(work.band_page(plan, asked, _frame(fields)))
        except UserError as error:
            return _asked_again(plan, fields, error)

    return routes


def _asked_again(plan: Plan, fields: dict[str, str], error: UserError) -> HTMLResponse:
    about = {"serial": plan.plan.serial, "engine": plan.plan.engine}
    return page("band_faults", 400, faults=error.faults, **fields, **about)


def _frame(fields: dict[str, str]) -> Frame:
    return Frame(head=part("head"), above=part("bar"), after_heading=part("band_panel", **fields))
