"""A small plan and a review made by hand: every kind of line once, nothing judged."""

from datetime import UTC, datetime

import numpy as np
import pytest

from witnessmark.checks.driving.load_map import LoadMap
from witnessmark.jobs.review import Review
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.channel import Column, How
from witnessmark.model.finding import Answer, Event, Finding, Verdict
from witnessmark.model.log import Log, Note, Source, Span
from witnessmark.model.plan import (
    Abort,
    Assumption,
    Choice,
    Doing,
    Inspection,
    Limit,
    Line,
    Phase,
    RunPlan,
    Service,
    Step,
)
from witnessmark.model.said import Said
from witnessmark.units import Kind, Preferences, Quantity

SHOP = Authority("Alder Lane Motors", SourceKind.COMMON_PRACTICE)
BOOK = Authority("Witnessmark default", SourceKind.PUBLISHED, "A Standard of 1999, clause 4")
SHEET = Authority("Build sheet", SourceKind.BUILD_SHEET)


def rpm(value: float) -> Quantity:
    return Quantity(value / 60, Kind.ROTATIONAL_SPEED)


def limit(value: Quantity, why: str, low: float | None = None, high: float | None = None) -> Limit:
    scale = 1 / 60 if value.kind is Kind.ROTATIONAL_SPEED else 1.0
    low_q, high_q = (None if x is None else Quantity(x * scale, value.kind) for x in (low, high))
    return Limit(value, low_q, high_q, why, SHOP)


def line(text: str, why: str, authority: Authority = SHOP, **values: Quantity | str) -> Line:
    return Line(Said(text, values), why, authority)


SPEED = limit(rpm(4000), "Ring faces and bores still carry their high spots.", 3500, 4500)
BOOST = limit(Quantity(0.0, Kind.PRESSURE), "Full gas pressure on new rings scuffs them.")


def fire_phase() -> Phase:
    minutes = limit(Quantity(300.0, Kind.DURATION), "Long enough to find every leak.", 240, 600)
    return Phase(
        id="first-heat",
        title="First start and first heat",
        place="in the bay",
        gates=(line("Oil pressure was proved at a gauge while cranking.", "No proof, no fire."),),
        steps=(
            Step(
                Doing.FIRE,
                line("Fire it for 30 s, then shut off and look.", "Leaks show in seconds."),
                {"time": limit(Quantity(30.0, Kind.DURATION), "Short enough to catch a leak.")},
            ),
            Step(
                Doing.HOLD,
                line("Hold {speed} for {time}.", "Oil reaches every bearing.",
                     speed=rpm(2000), time=minutes.value),
                {"speed": limit(rpm(2000), "Splash feeds the cams.", 1800, 2500),
                 "time": minutes},
            ),
            Step(
                Doing.SWEEP,
                line("Go up by {step} every {each} to {top}, and back.", "No speed is held long.",
                     step=rpm(500), each=Quantity(30.0, Kind.DURATION), top=rpm(4500)),
                {"top": limit(rpm(4500), "Under two thirds of the redline.", 4000, 5000)},
            ),
        ),
        ceilings={
            "engine_speed": limit(rpm(4500), "Nothing is seated yet.", 4000, 5000),
            "coolant_temperature": limit(
                Quantity(378.15, Kind.TEMPERATURE), "New parts make heat of friction."
            ),
        },
        evidence={},
        needs=(),
        then=(line("Drop oil and filter hot; cut the filter open.", "It holds the debris."),),
        cautions=(
            line("Carbon monoxide kills: hose the exhaust outside before the first start.",
                 "A cold rich engine makes percents of it.", BOOK),
        ),
        reviewed=False,
    )  # fmt: skip


def drive_phase() -> Phase:
    return Phase(
        id="first-drive",
        title="First 50 miles",
        place="on the road",
        gates=(line("Fresh oil and filter after the first heat.", "The first oil is dirty."),),
        steps=(
            Step(
                Doing.DRIVE,
                line("Drive varied roads under {top}, out of boost.", "Load seats the rings.",
                     top=rpm(4000)),
                {"top": SPEED},
            ),
        ),
        ceilings={"engine_speed": SPEED, "boost": BOOST},
        evidence={
            "moving_time": limit(Quantity(150.0, Kind.DURATION), "Enough for the tuner to judge."),
            "overrun_pulls": limit(Quantity(8.0, Kind.COUNT), "High vacuum clears the rings."),
        },
        needs=("engine_speed", "manifold_pressure"),
        then=(line("Send the log to the tuner.", "He sets the next ceiling."),),
        cautions=(line("A passenger works the laptop, never the driver.", "Eyes on the road."),),
        reviewed=True,
    )  # fmt: skip


@pytest.fixture(scope="session")
def plan() -> RunPlan:
    fifty = limit(Quantity(50 * 1609.344, Kind.DISTANCE), "Most of the first iron is out by then.")
    return RunPlan(
        serial="AL-0099",
        engine="inline 4, 1,998 cm³, turbocharged",
        build_sha256="b1" * 32,
        choice=Choice(
            recipe="road-boosted", title="Road, boosted, bucket cams", version="1.2",
            sha256="c0ffee" + "0" * 58, owner="Alder Lane Motors", school="load early",
            school_why="Plateau-honed bores seat in the first loaded minutes.",
            chosen_why="Turbocharged, bucket followers, petrol, road use.",
            set_aside=("Race-only on a dyno: the sheet says road",),
        ),
        fuel=(line("High-octane petrol without ethanol.", "Knock margin; no washed bores."),),
        oil=(line("Mineral, zinc-rich run-in oil, {fill}.", "Zinc guards the cams.", SHEET,
                  fill=Quantity(0.0052, Kind.VOLUME)),),
        inspections=(
            Inspection("sheet.clearance", "On the build sheet",
                       line("Every journal has a measured clearance.", "One hides a tight one."),
                       "Measure it before the pan goes on.", False, "builder"),
            Inspection("clutch.free", "Clutch and thrust",
                       line("Clutch pedal has {play} of free play.", "No play loads the thrust.",
                            SHEET, play=Quantity(0.002, Kind.LENGTH)),
                       "Set the pedal. Do not crank.", True, "technician"),
        ),
        prime=(line("Crank {time}, twice, and watch the gauge.", "Oil first, fire second.",
                    time=Quantity(10.0, Kind.DURATION)),),
        aborts=(
            Abort("oil.none", line("No oil pressure {time} after it fires.", "Bearings go dry.",
                                   time=Quantity(5.0, Kind.DURATION)),
                  "Kill it. Do not restart to check."),
            Abort("knock", line("A knock that follows the speed.", "A bearing is going."),
                  "Kill it and open it up."),
        ),
        phases=(fire_phase(), drive_phase()),
        services=(
            Service("First drive service", line("Oil and filter.", "Iron out early."), fifty,
                    limit(Quantity(2 * 3600.0, Kind.RUNNING_TIME), "Short trips count in hours."),
                    limit(Quantity(30 * 86400.0, Kind.CALENDAR_TIME), "Fuel in oil must not sit.")),
        ),
        limits={
            "warm_coolant": limit(Quantity(348.15, Kind.TEMPERATURE), "Clearances close by then."),
            "still_speed": limit(rpm(20), "Slower than any starter."),
        },
        band=None,
        no_band="The sheet says nothing of an oil pump.",
        prefer=Preferences(pressure="psi", distance="mi", clearance="in"),
        assumptions=(
            Assumption("oil.hths", Said("High-shear viscosity taken as {value}.",
                       {"value": Quantity(0.0037, Kind.DYNAMIC_VISCOSITY)}), "From the grade."),
        ),
        cautions=(line("Extinguisher within reach, fans can start by themselves.", "Fire."),),
    )  # fmt: skip


def drive(seconds: int = 1320, rate: float = 4.0) -> Log:
    """A made drive: warm-up, pulls and lifts, one flight over the ceiling, one pause."""
    time = np.arange(0, seconds, 1 / rate)
    time = time[(time < 700) | (time > 760)]
    held = np.full(len(time), 1 / rate)
    wave = np.sin(time / 14) + 0.5 * np.sin(time / 5.3 + 1)
    moving = np.clip((time - 60) / 60, 0, 1)
    speed = 950 + moving * np.clip(1150 + 850 * wave, 0, None)
    speed = np.where((time > 500) & (time < 506), 4310.0 - 40 * np.abs(time - 503), speed)
    slope = np.gradient(speed, time)
    pressure = np.clip(52e3 + moving * (15e3 + 0.1e3 * slope), 24e3, 101e3)
    coolant = 295 + 66 * (1 - np.exp(-time / 190))
    oil = 295 + 70 * (1 - np.exp(-time / 330))
    columns = (
        Column("RPM", "1/min", "engine_speed", "1/min", How.NAMED, "", 1.0),
        Column("MAP", "", "manifold_pressure", "kPa", How.ASSUMED_UNIT,
               "values from 24 to 101 read as kPa absolute", 1.0),
        Column("CLT", "°C", "coolant_temperature", "°C", How.NAMED, "", 0.25),
        Column("OilT", "°C", "oil_temperature", "°C", How.TOLD, "", 0.25),
        Column("Aux 3", "", None, "", How.UNKNOWN, "no name like it", 1.0),
    )  # fmt: skip
    return Log(
        Source("first drive.csv", "5eed" * 16, 812_000, len(time)), time, held,
        {"engine_speed": speed / 60, "manifold_pressure": pressure,
         "coolant_temperature": coolant, "oil_temperature": oil},
        columns, (Note("line 2801", "60 s without a row: counted as a pause"),),
        datetime(2026, 11, 7, 14, 3, 20, tzinfo=UTC),
    )  # fmt: skip


def mapped(log: Log) -> LoadMap:
    speed_edges = np.arange(0, 5000, 500) / 60
    load_edges = np.arange(20e3, 120e3, 10e3)
    seconds, _, _ = np.histogram2d(
        log["engine_speed"], log["manifold_pressure"], (speed_edges, load_edges), weights=log.held
    )
    return LoadMap(
        speed_edges, load_edges, seconds, "manifold_pressure", Kind.ABSOLUTE_PRESSURE, 5.0, 6.0
    )


def findings() -> tuple[Finding, ...]:
    over = Said("{worst}, {over} over", {"worst": rpm(4310), "over": rpm(310)})
    return (
        Finding("boost.ceiling", "Boost ceiling", Answer.KEPT,
                Said("Highest {most}, ceiling {top}.",
                     {"most": Quantity(-900.0, Kind.PRESSURE), "top": BOOST.value}),
                True, SHOP),
        Finding("oil.floor", "Oil pressure floor", Answer.NOT_SHOWN,
                Said("This log does not show oil pressure."), False,
                do_next=Said("Fit a sender and log it.")),
        Finding("work.overrun", "Engine braking", Answer.TOO_LITTLE,
                Said("{found} shut-throttle pulls, {wanted} wanted.",
                     {"found": Quantity(3, Kind.COUNT), "wanted": Quantity(8, Kind.COUNT)}),
                True, SHOP, (Event(Span(400.0, 404.0), Said("from 3,600 rpm down to 2,100 rpm")),),
                Said("Drive {more} more.", {"more": Quantity(5, Kind.COUNT)})),
        Finding("speed.ceiling", "Engine speed ceiling", Answer.BROKEN,
                Said("{worst} against a ceiling of {top}.",
                     {"worst": rpm(4310), "top": SPEED.value}),
                True, SHOP, (Event(Span(500.25, 506.0), over),),
                Said("Keep under {top}; short-shift.", {"top": SPEED.value})),
        Finding("knock.none", "Knock", Answer.NOT_SHOWN,
                Said("This log does not show knock."), True, do_next=Said("Log knock retard.")),
    )  # fmt: skip


@pytest.fixture(scope="session")
def review(plan: RunPlan) -> Review:
    log = drive()
    verdict = Verdict("first-drive", findings(), log.source)
    return Review(plan, plan.phase("first-drive"), log, verdict, mapped(log))
