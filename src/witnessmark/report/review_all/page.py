"""Many logs' verdicts as one HTML page."""

from witnessmark.jobs.review_all import Batch
from witnessmark.report.html import Frame, framed_page
from witnessmark.report.review_all.view import batch_view
from witnessmark.report.words import unbroken
from witnessmark.units import Preferences


def batch_html(
    found: Batch, prefer: Preferences, frame: Frame | None = None, links: tuple[str, ...] = ()
) -> str:
    """The logs as a page of its own. `links`: address of each log's own verdict."""
    view = unbroken(batch_view(found, prefer, links))
    return framed_page("review_all.html.j2", frame or Frame(), view=view)
