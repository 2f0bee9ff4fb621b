"""The jobs behind the pages, called with what a form sent: texts and bytes, never a path."""

import json
from dataclasses import replace
from functools import lru_cache
from threading import Lock
from typing import Any
from urllib.parse import quote

from markupsafe import Markup

from witnessmark.errors import UserError
from witnessmark.jobs.band import EngineBand, Reading, judge_reading, make_band, read_reading
from witnessmark.jobs.book import Book, open_book
from witnessmark.jobs.calibrate import calibrate, freeze_calibration, parse_calibration
from witnessmark.jobs.calibration_drawn import drawn
from witnessmark.jobs.channels import recall_of
from witnessmark.jobs.drift import watch
from witnessmark.jobs.film import EngineFilm, FilmAsked, make_film, read_asked
from witnessmark.jobs.first_heat import FirstHeat, first_heat
from witnessmark.jobs.frozen import drift, freeze, parse_plan
from witnessmark.jobs.held_out import read_held_out
from witnessmark.jobs.keep import keep_or_say
from witnessmark.jobs.known_engine import known_from
from witnessmark.jobs.plan import make_plan, with_band
from witnessmark.jobs.review import Review, review
from witnessmark.logs.channels.mixture import fuel_in_tank
from witnessmark.logs.read import read_log_bytes
from witnessmark.logs.twins import refuse_twin
from witnessmark.model.build import parse_build
from witnessmark.model.calibration import Calibration
from witnessmark.model.drift import OilSaid
from witnessmark.model.log import Log
from witnessmark.model.plan import RunPlan
from witnessmark.records.shop import Shop
from witnessmark.report.drift.data import drift_json
from witnessmark.report.html import (
    Frame,
    band_html,
    calibration_html,
    drift_html,
    film_html,
    phases_html,
    plan_html,
    verdict_html,
)
from witnessmark.report.pdf import plan_pdf, verdict_pdf
from witnessmark.report.phases.data import phases_json
from witnessmark.report.verdict.data import verdict_json
from witnessmark.units import Kind, parse
from witnessmark.web.pages import part
from witnessmark.web.store import Comparison, Drive, Heat, Later, Learning, Plan

# One at a time: two of the largest logs would not fit, and charts are drawn by one thread only.
_one = Lock()
_fitting = Lock()  # one at a time: a fit keeps a core busy
_HELD_OUT = "Keep back"  # as the form names it
# Bands kept worked out: a technician asks for one engine several times, each costs seconds.
_BANDS = 16
NOT_KEPT = (
    "Nothing is kept of this drive once the program stops. Started with a shop folder (witnessmark "
    "serve --shop FOLDER) it keeps the log, your corrections and the engine's hours."
)
_FILM_ASKED = ("Oil temperature", "Fuel in the oil")
_READING = ("Oil pressure", "Engine speed", "Oil temperature")  # as the form names them


def book() -> Book:
    """The recipes to choose from."""
    return open_book()


def plan_from(text: str, where: str, recipe: str = "") -> Plan:
    """The plan of a build sheet or of a frozen plan, whichever the text is.

    `recipe` : id of one to use, "" for the one that fits. Raises UserError with everything that
    has to be put right.
    """
    # A build sheet cannot begin with a brace, a frozen plan begins with nothing else.
    if text.lstrip("\ufeff \t\r\n").startswith("{"):
        return _from_frozen(text, where)
    return _from_sheet(text, where, recipe)


def _from_sheet(text: str, where: str, recipe: str) -> Plan:
    sheet = parse_build(text, where)
    made = make_plan(sheet, recipe or None)
    return kept_plan(made, sheet=text, recipe=recipe, dated=sheet.identity.signed_on)


def _from_frozen(text: str, where: str) -> Plan:
    plan = parse_plan(text, where)
    return kept_plan(plan, moved=drift(plan, book()) or "")


def one_at_a_time() -> Lock:
    """What to hold while charts are drawn or a large log is worked on."""
    return _one


def kept_plan(plan: RunPlan, **about: Any) -> Plan:
    """A plan as the store keeps it, frozen. `about`: what else is known of it."""
    frozen = freeze(plan)
    text = json.dumps(frozen, indent=2) + "\n"
    return Plan(plan, text.encode(), str(frozen["sha256"]), **about)


def judge(drive: Drive, frame: Frame, shop: Shop | None = None) -> Drive:
    """The drive with its verdict and the page that shows it, the face's own parts around it.

    With a `shop` folder the drive is kept in it; if it cannot be, the page says so. Raises
    UserError if the log cannot be read or judged.
    """
    told = [line.strip() for line in drive.columns.splitlines() if line.strip()]
    with _one:
        facts = drive.plan.plan.facts
        fuel = fuel_in_tank(facts.fuel, facts.ethanol) if facts.fuel else ""
        log = read_log_bytes(
            drive.data, drive.name, told, buses=drive.buses, fuel=fuel, recall=recall_of(shop)
        )
        found = review(_calibrated(drive), drive.phase, log)
        frame = replace(frame, after_heading=frame.after_heading + _kept(shop, found, drive, told))
        return replace(drive, review=found, page=verdict_html(found, frame=frame))


def find_phases(sent: Heat, frame: Frame) -> Heat:
    """The recording with its phases found and the page that shows them.

    Raises UserError if the log cannot be read, or the plan has no first heat in the bay.
    """
    drive = sent.drive
    told = [line.strip() for line in drive.columns.splitlines() if line.strip()]
    with _one:
        facts = drive.plan.plan.facts
        fuel = fuel_in_tank(facts.fuel, facts.ethanol) if facts.fuel else ""
        log = read_log_bytes(drive.data, drive.name, told, buses=drive.buses, fuel=fuel)
        found = first_heat(_calibrated(drive), log)
        return Heat(drive, found, phases_html(found, frame=frame))


def phases_data(found: FirstHeat) -> bytes:
    """A first heat as JSON text."""
    return (json.dumps(phases_json(found), indent=1) + "\n").encode()


def _kept(shop: Shop | None, found: Review, drive: Drive, told: list[str]) -> Markup:
    """What was kept of a drive, as a piece of its page; says so too if nothing was."""
    if shop is None:
        return part("kept", lines=[NOT_KEPT], serial="", path="")
    lines = [
        said.read(found.plan.prefer) for said in keep_or_say(shop, found, drive.data, tuple(told))
    ]
    serial = found.plan.serial
    return part("kept", lines=lines, serial=serial, path=quote(serial, safe=""))


def _calibrated(drive: Drive) -> RunPlan:
    """The plan, with the band its engine's own logs have taught if they were sent."""
    plan = drive.plan
    if not drive.calibration:
        return plan.plan
    name = drive.calibration_name
    if not plan.sheet:
        raise UserError(
            name, "the plan came frozen, without its build sheet",
            "a calibration is read with the build sheet it was made from",
            "Send the build sheet in place of the plan, or send no calibration",
        )  # fmt: skip
    sheet = parse_build(plan.sheet, "Build sheet")
    known = known_from(sheet, parse_calibration(drive.calibration, name))
    return with_band(plan.plan, sheet, known)


def plan_page(plan: Plan, frame: Frame) -> str:
    """The plan as a page, with the face's own parts around it."""
    return plan_html(plan.plan, sha256=plan.sha256, frame=frame)


def job_card(plan: Plan) -> bytes:
    """The plan as a PDF."""
    with _one:
        return plan_pdf(plan.plan, sha256=plan.sha256, dated=plan.dated)


def verdict_card(found: Review) -> bytes:
    """The verdict as a PDF."""
    with _one:
        return verdict_pdf(found)


def verdict_data(found: Review) -> bytes:
    """The verdict as JSON text."""
    return (json.dumps(verdict_json(found), indent=2) + "\n").encode()


def reading_from(pressure: str, speed: str, temperature: str) -> Reading | None:
    """A reading as typed into the form, None if nothing was. Raises UserError."""
    return read_reading(pressure, speed, temperature, _READING)


def band_page(plan: Plan, asked: Reading | None, frame: Frame) -> str:
    """The pressure band of a plan's build sheet as a page, with the answer to a reading.

    Raises UserError where no pressure can be foretold from the sheet.
    """
    with _one:
        made = _band(plan.sheet)
        judged = judge_reading(made, asked) if asked else None
        return band_html(made, reading=asked, judged=judged, frame=frame)


@lru_cache(_BANDS)
def _band(sheet: str) -> EngineBand:
    return make_band(parse_build(sheet, "Build sheet"))


def film_asked(oil: str, fuel: str) -> FilmAsked:
    """Oil temperature and fuel as typed into the form. Raises UserError."""
    return read_asked(oil, fuel, _FILM_ASKED)


def film_page(plan: Plan, asked: FilmAsked, frame: Frame) -> str:
    """The map of films of a plan's build sheet as a page.

    Raises UserError where no film can be worked out from the sheet.
    """
    with _one:
        return film_html(_film(plan.sheet, asked), frame=frame)


@lru_cache(_BANDS)
def _film(sheet: str, asked: FilmAsked) -> EngineFilm:
    return make_film(parse_build(sheet, "Build sheet"), asked)


def learn(sent: Learning, frame: Frame) -> Learning:
    """What a log teaches of the oil system of a plan's build, with the page that shows it.

    Raises UserError if the log cannot be read or teaches nothing.
    """
    told = [line.strip() for line in sent.columns.splitlines() if line.strip()]
    share = read_held_out(sent.held_out, _HELD_OUT)
    sheet = parse_build(sent.plan.sheet, "Build sheet")
    with _one:
        log = read_log_bytes(sent.data, sent.name, told)
    with _fitting:  # half a minute: verdicts need not wait for it
        learned = calibrate(sheet, [log], share)
    with _one:
        page = calibration_html(learned, sheet, drawn(sheet, learned, [log]), frame=frame)
    return replace(sent, learned=learned, page=page)


def calibration_data(learned: Calibration) -> bytes:
    """The calibration as its sealed JSON text."""
    return (json.dumps(freeze_calibration(learned), indent=1) + "\n").encode()


def compare(sent: Comparison, frame: Frame) -> Comparison:
    """What changed from log to log, with the page that shows it.

    Raises UserError if a log cannot be read or shows nothing, or if its oil cannot be.
    """
    sheet = parse_build(sent.plan.sheet, "Build sheet")
    oils = _oils(sent.logs)
    learned = None
    if sent.calibration:
        learned = parse_calibration(sent.calibration, sent.calibration_name)
    told = [line.strip() for line in sent.columns.splitlines() if line.strip()]
    logs: list[Log] = []
    with _one:
        for each in sent.logs:
            log = read_log_bytes(each.data, each.name, told)
            refuse_twin(log, logs)
            logs.append(log)
    with _fitting:
        found = watch(sheet, logs, learned, oils)
    with _one:
        page = drift_html(found, sheet, frame=frame)
    return replace(sent, found=found, page=page)


def _oils(logs: tuple[Later, ...]) -> dict[str, OilSaid]:
    """What was said of the oil, by the log's name; of a log nothing was said of, nothing."""
    said = {}
    for log in logs:
        share = log.fuel.strip()
        fuel = parse(share, Kind.FRACTION, f"{log.name}, fuel in the oil").value if share else 0.0
        grade = log.grade.strip()
        oil = OilSaid(log.new_oil or bool(grade), grade, fuel)
        if oil != OilSaid():
            said[log.name] = oil
    return said


def drift_data(sent: Comparison) -> bytes:
    """What changed as JSON text. Wanted of a comparison that was made."""
    assert sent.found is not None
    sheet = parse_build(sent.plan.sheet, "Build sheet")
    return (json.dumps(drift_json(sent.found, sheet), indent=1) + "\n").encode()
