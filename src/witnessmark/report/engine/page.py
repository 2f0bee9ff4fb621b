"""An engine's drives as one HTML page."""

from witnessmark.jobs.engine import EngineKept
from witnessmark.report.engine.view import engine_view
from witnessmark.report.html import Frame, framed_page
from witnessmark.report.words import unbroken
from witnessmark.units import Preferences


def engine_html(
    found: EngineKept, prefer: Preferences | None = None, frame: Frame | None = None
) -> str:
    """The engine as a page of its own."""
    view = unbroken(engine_view(found, prefer))
    return framed_page("engine.html.j2", frame or Frame(), view=view)
