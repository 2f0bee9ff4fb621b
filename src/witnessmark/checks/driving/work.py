"""The engine was worked enough: time, variety of speed and load, share under load."""

from collections.abc import Iterator
from dataclasses import replace

from witnessmark.checks.case import Case
from witnessmark.checks.driving.drive_next import drive_next
from witnessmark.checks.terms import count, enough, fraction, revolutions, seconds
from witnessmark.model.finding import Finding
from witnessmark.model.plan import Doing, Limit
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity


def time_on_the_move(case: Case) -> Iterator[Finding]:
    """The log is long enough to judge by."""
    wanted = case.terms.phase.evidence.get("moving_time")
    if wanted is None:
        return
    length = case.log.total(case.moving)
    yield enough(
        "shown.moving", "Time on the move", wanted, length,
        Said("{found} on the move, at least {wanted} wanted.",
             {"found": seconds(length), "wanted": wanted.value}),
        Said("Log at least {wanted} of driving.", {"wanted": wanted.value}),
    )  # fmt: skip


def running_time(case: Case) -> Iterator[Finding]:
    """The engine ran as long as the phase asks."""
    wanted = case.terms.phase.evidence.get("running_time")
    if wanted is None:
        return
    length = case.log.total(case.running)
    yield enough(
        "shown.running", "Running time", wanted, length,
        Said("{found} running, at least {wanted} wanted.",
             {"found": seconds(length), "wanted": wanted.value}),
        Said("Run the engine for {wanted} in all; stops may lie between.",
             {"wanted": wanted.value}),
    )  # fmt: skip


def hold_time(case: Case) -> Iterator[Finding]:
    """The phase's hold speeds were held as long as it asks, counted up over stops."""
    wanted = case.terms.phase.evidence.get("hold_time")
    speeds = [
        step.numbers["speed"].value
        for step in case.terms.phase.steps
        if step.doing is Doing.HOLD and "speed" in step.numbers
    ]
    if wanted is None or not speeds:
        return
    length = sum(hold.seconds for hold in case.heat.holds.values())
    numbers: Values = {
        "found": seconds(length), "wanted": wanted.value, "speed": speeds[0],
        "band": case.terms.limits["hold_band"].value,
        "more": "" if len(speeds) == 1 else " and the other hold speeds",
    }  # fmt: skip
    yield enough(
        "shown.hold", "Held speed", wanted, length,
        Said("{found} within ±{band} of {speed}{more}, at least {wanted} wanted.", numbers),
        Said("Hold {speed}{more} until {wanted} have come together; stops may lie between.",
             numbers),
    )  # fmt: skip


def load_variety(case: Case) -> Iterator[Finding]:
    """Time is spread over many combinations of speed and load."""
    wanted = case.terms.phase.evidence.get("load_cells")
    if wanted is None:
        return
    title, spread = "Variety of speed and load", case.load_map
    if spread is None:
        yield _no_map(case, "work.variety", title, wanted)
        return
    numbers: Values = {
        "found": count(spread.cells), "wanted": wanted.value, "counted": seconds(spread.counted),
        "as_many": Quantity(round(spread.effective), Kind.COUNT),
        "wide": case.terms.limits["cell_speed"].value,
    }  # fmt: skip
    covered, next_drive = _coverage(case, spread.cells >= wanted.value.value)
    found = enough(
        "work.variety", title, wanted, spread.cells,
        Said("{found} cells of {wide} by load held for {counted} or more, {wanted} wanted; as "
             "varied as {as_many} cells used evenly." + covered.text,
             {**numbers, **covered.values}),
        Said("Change speed and load more."),
    )  # fmt: skip
    yield replace(found, do_next=next_drive or found.do_next)


def variety_by_the_minute(case: Case) -> Iterator[Finding]:
    """Speed and load change within every minute, not only from one road to the next."""
    wanted = case.terms.phase.evidence.get("cells_per_minute")
    if wanted is None:
        return
    title, spread = "Variety within a minute", case.load_map
    if spread is None:
        yield _no_map(case, "work.minute", title, wanted)
        return
    numbers: Values = {
        "found": Quantity(spread.per_minute, Kind.RATIO), "wanted": wanted.value,
        "window": case.terms.limits["variety_window"].value,
    }  # fmt: skip
    yield enough(
        "work.minute", title, wanted, spread.per_minute,
        Said("In a typical {window} of driving {found} cells were used evenly, {wanted} wanted.",
             numbers),
        Said("Keep speed and load changing: junctions and hills, not the motorway."),
    )  # fmt: skip


def _no_map(case: Case, check: str, title: str, wanted: Limit) -> Finding:
    """Without a load map: no load in the log, or no driving."""
    if case.load is None:
        return case.missing(
            check, title, "how hard the engine worked", needs="load",
            fit="Log manifold pressure, calculated load or the pedal.",
        )  # fmt: skip
    said, do_next = Said("There is no driving in this log."), Said("Log a drive.")
    return enough(check, title, wanted, 0.0, said, do_next)


def share_under_load(case: Case) -> Iterator[Finding]:
    """A fair share of the driving is under load; rings do not seat at a stroll."""
    wanted = case.terms.phase.evidence.get("loaded_share")
    if wanted is None:
        return
    if case.load is None or case.worked is None:
        yield case.missing(
            "work.share", "Share under load", "how hard the engine worked", needs="load",
            fit="Log manifold pressure, calculated load or the pedal.",
        )  # fmt: skip
        return
    whole = case.log.total(case.moving)
    share = case.log.total(case.moving & case.worked) / whole if whole else 0.0
    yield enough(
        "work.share", "Share under load", wanted, share,
        Said("{found} of the driving under load, at least {wanted} wanted. By {by}.",
             {"found": fraction(share), "wanted": wanted.value, "by": case.load.title}),
        Said("Use more throttle in a middle gear: hills help. Stay under the ceilings."),
    )  # fmt: skip


def _coverage(case: Case, enough: bool) -> tuple[Said, Said | None]:
    """How much of what the phase allows was covered, and what to drive for the rest."""
    cover = case.coverage
    if cover is None or case.load is None:
        return Said(""), None
    numbers: Values = {
        "covered": count(int(cover.covered.sum())), "asked": count(int(cover.reachable.sum())),
        "share": fraction(cover.share), "slowest": case.terms.limits["idle_top"].value,
        "fastest": revolutions(cover.fastest), "low": Quantity(cover.low, case.load.kind),
        "top": Quantity(cover.top, case.load.kind),
    }  # fmt: skip
    text = (
        " Of the {asked} cells this phase can reach ({slowest} to {fastest}, {low} to {top}, "
        "short of lugging) {covered} are covered: {share}."
    )
    opening = "Worth adding: " if enough else "Still missing: "
    return Said(text, numbers), drive_next(cover, case.terms, case.load, case.gears, opening)
