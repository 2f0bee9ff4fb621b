"""The web face as one application: stateless, no script, nothing fetched from elsewhere."""

from importlib.resources import files

from fastapi import FastAPI, Request, Response
from starlette.exceptions import HTTPException

from witnessmark.jobs.build import build_schema
from witnessmark.model.finding import Answer
from witnessmark.report.html import style
from witnessmark.report.marks import mark_svg
from witnessmark.report.words import key
from witnessmark.web.bands import band_routes
from witnessmark.web.calibrations import calibration_routes
from witnessmark.web.channels import channel_routes
from witnessmark.web.drifts import drift_routes
from witnessmark.web.drives import drive_routes
from witnessmark.web.engines import engine_routes
from witnessmark.web.films import film_routes
from witnessmark.web.guard import HEADERS, UPLOAD_LIMIT, Guard
from witnessmark.web.packets import packet_routes
from witnessmark.web.pages import notice
from witnessmark.web.phases import phase_routes
from witnessmark.web.plans import plan_routes
from witnessmark.web.review_all import review_all_routes
from witnessmark.web.store import Store

_SAID = {
    400: ("This form cannot be read", "A text in it is over 1 MB, or it came in pieces we do not "
          "know. Send it again from the start page."),
    404: ("There is no such page", "The address is not one of ours, or was cut short."),
    405: ("This page takes no such request", "Open the start page and begin from there."),
}  # fmt: skip


def create_app(store: Store | None = None, upload_limit: int = UPLOAD_LIMIT) -> FastAPI:
    """The application. `upload_limit`: the most bytes of one file."""
    # No generated pages: they would fetch their scripts from elsewhere.
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    kept = store or Store()
    app.include_router(plan_routes(kept))
    app.include_router(drive_routes(kept))
    app.include_router(channel_routes(kept))
    app.include_router(engine_routes(kept))
    app.include_router(band_routes(kept))
    app.include_router(film_routes(kept))
    app.include_router(calibration_routes(kept))
    app.include_router(drift_routes(kept))
    app.include_router(packet_routes(kept))
    app.include_router(phase_routes(kept))
    app.include_router(review_all_routes(kept))
    _add_fixed(app)
    app.add_exception_handler(HTTPException, _turned_away)
    app.add_exception_handler(Exception, _our_fault)
    app.add_middleware(Guard, refuse=notice, limit=upload_limit)
    return app


def _add_fixed(app: FastAPI) -> None:
    """What is the same for everybody: style, mark, schema, a sign of life."""
    web_css = files("witnessmark.web").joinpath("static", "web.css").read_text("utf-8")

    @app.get("/static/web.css")
    def web_style() -> Response:
        return Response(web_css, media_type="text/css")

    @app.get("/static/report.css")
    def report_style() -> Response:
        return Response(style(), media_type="text/css")

    @app.get("/static/mark.svg")
    def mark() -> Response:
        return Response(mark_svg(key(Answer.KEPT)), media_type="image/svg+xml")

    @app.get("/schema/build-sheet.json")
    def schema() -> dict[str, object]:
        return build_schema()

    @app.get("/health")
    def health() -> dict[str, str]:
        return {"status": "up"}


async def _turned_away(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    title, said = _SAID.get(error.status_code, ("This cannot be done", "Begin from the start."))
    return notice(error.status_code, title, said)


async def _our_fault(_: Request, error: Exception) -> Response:
    # It is raised again behind this page, so its trace reaches the program's window.
    answer = notice(
        500, "This is our fault",
        "Something went wrong that you cannot put right. Please report what the window shows "
        "that the program runs in.",
    )  # fmt: skip
    answer.headers.update(HEADERS)  # made outside the guard, which would have added them
    return answer
