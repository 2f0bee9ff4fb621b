"""Routes for the oil film: see the map, ask for another oil temperature or fuel in the oil."""

from fastapi import APIRouter
from fastapi.responses import HTMLResponse, Response

from witnessmark.errors import UserError
from witnessmark.report.html import Frame
from witnessmark.web import work
from witnessmark.web.pages import page, part
from witnessmark.web.plans import gone, no_sheet
from witnessmark.web.store import Plan, Store


def film_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()

    # A plain request: what was typed stands in the address, so the answer can be sent on.
    @routes.get("/plans/{name}/film")
    def show(name: str, oil: str = "", fuel: str = "") -> Response:
        plan = store.find(name, Plan)
        if plan is None:
            return gone()
        if not plan.sheet:
            return no_sheet()
        fields = {"id": name, "oil": oil, "fuel": fuel}
        frame = Frame(
            head=part("head"), above=part("bar"), after_heading=part("film_panel", **fields)
        )
        try:
            return HTMLResponse(work.film_page(plan, work.film_asked(oil, fuel), frame))
        except UserError as error:
            about = {"serial": plan.plan.serial, "engine": plan.plan.engine}
            return page("film_faults", 400, faults=error.faults, **fields, **about)

    return routes
