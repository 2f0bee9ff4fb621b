"""Routes for engines: what their drives kept in the shop's folder add up to."""

from urllib.parse import quote

from fastapi import APIRouter
from fastapi.responses import HTMLResponse, Response

from witnessmark.errors import UserError
from witnessmark.report.html import Frame
from witnessmark.web import channels_work as work
from witnessmark.web.pages import notice, page, part
from witnessmark.web.store import Store


def engine_routes(store: Store) -> APIRouter:
    """The routes, over this store; without a shop folder there is nothing to see."""
    routes = APIRouter()

    @routes.get("/engines")
    def choose() -> Response:
        if store.shop is None:
            return _no_folder()
        try:
            serials = work.engines(store.shop)
        except UserError as error:
            return page("engines", 500, faults=error.faults, engines=())
        return page("engines", engines=[(one, quote(one, safe="")) for one in serials])

    @routes.get("/engines/{serial:path}")
    def show(serial: str) -> Response:
        if store.shop is None:
            return _no_folder()
        frame = Frame(head=part("head"), above=part("bar"))
        try:
            return HTMLResponse(work.engine_page(store.shop, serial, frame))
        except UserError as error:
            return notice(404, "No such engine is kept", f"{error.told} {error.remedy}.")

    return routes


def _no_folder() -> HTMLResponse:
    return notice(
        404, "Nothing is kept here",
        "This program runs without a shop folder. Started with 'witnessmark serve --shop FOLDER' "
        "it keeps the drives of each engine.",
    )  # fmt: skip
