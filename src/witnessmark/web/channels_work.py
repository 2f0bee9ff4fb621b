"""The jobs behind the pages on columns and engines, called with what a form sent."""

import json
from dataclasses import replace

from witnessmark.jobs.channels import (
    LogExplained,
    explain,
    read_fuel,
    recall_of,
    remember_told,
)
from witnessmark.jobs.engine import engine_kept
from witnessmark.logs.read import read_log_bytes
from witnessmark.logs.recordings.dbc import dbc_of
from witnessmark.records.drives import serials
from witnessmark.records.shop import Shop
from witnessmark.report.channels.data import channels_json
from witnessmark.report.channels.page import channels_html
from witnessmark.report.engine.page import engine_html
from witnessmark.report.html import Frame
from witnessmark.web.pages import said_here
from witnessmark.web.store import Drive, Looked
from witnessmark.web.work import one_at_a_time

_FUEL = "Fuel in the tank"  # as the form names it
_HOW = "Copy the line under it into “Columns put right” below."


def look(sent: Looked, frame: Frame, shop: Shop | None) -> Looked:
    """The columns of a log that was sent, with the page that shows them.

    Raises UserError if the log cannot be read. With a shop folder what is said is remembered.
    """
    told = [line.strip() for line in sent.columns.splitlines() if line.strip()]
    fuel = read_fuel(sent.fuel, _FUEL)
    buses = [dbc_of(sent.dbc, sent.dbc_name)] if sent.dbc else []
    with one_at_a_time():
        log = read_log_bytes(
            sent.data, sent.name, told, buses=buses, fuel=fuel, recall=recall_of(shop)
        )
        found = explain(log)
    if shop is not None:
        remember_told(shop, log, told)
    return replace(sent, page=_page(found, frame, _HOW), found=_data(found))


def of_drive(drive: Drive, frame: Frame) -> str:
    """The columns of a log that was reviewed, as a page. Wanted of a drive with a verdict."""
    assert drive.review is not None
    return _page(explain(drive.review.log), frame, "Judge again with the line under it.")


def _page(found: LogExplained, frame: Frame, how: str) -> str:
    return channels_html(found, frame=frame, how_to_say=how, say=said_here)


def _data(found: LogExplained) -> bytes:
    return (json.dumps(channels_json(found), indent=2) + "\n").encode()


def engine_page(shop: Shop, serial: str, frame: Frame) -> str:
    """What is kept of an engine, as a page. Raises UserError if nothing is."""
    return engine_html(engine_kept(shop, serial), frame=frame)


def engines(shop: Shop) -> list[str]:
    """Serials of the engines of which drives are kept."""
    return serials(shop)
