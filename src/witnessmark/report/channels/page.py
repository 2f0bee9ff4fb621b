"""The columns of a log as one HTML page."""

from collections.abc import Callable

from witnessmark.jobs.channels import LogExplained
from witnessmark.report.channels.view import channels_view
from witnessmark.report.html import Frame, framed_page
from witnessmark.report.words import unbroken
from witnessmark.units import Preferences

_HOW_TO_SAY = "Give the line under it with --channel '...', one --channel for each column."


def channels_html(
    found: LogExplained,
    prefer: Preferences | None = None,
    frame: Frame | None = None,
    how_to_say: str = _HOW_TO_SAY,
    say: Callable[[str], str] = str,
) -> str:
    """The columns as a page of its own.

    `how_to_say`: how a correction is given where this page is read. `say`: puts a sentence in
    that place's words.
    """
    view = unbroken(channels_view(found, prefer))
    return framed_page(
        "channels.html.j2", frame or Frame(), view=view, how_to_say=how_to_say, say=say
    )
