"""The engine was worked enough: time, variety of speed and load, share under load."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.load_map import LoadMap
from witnessmark.checks.terms import count, enough, fraction, seconds
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
    band = case.terms["hold_band"]
    off = np.min([np.abs(case.log["engine_speed"] - speed.value) for speed in speeds], axis=0)
    length = case.log.total(off <= band)
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
        "wide": case.terms.limits["cell_speed"].value, "missing": _empty_corner(case, spread),
    }  # fmt: skip
    yield enough(
        "work.variety", title, wanted, spread.cells,
        Said("{found} cells of {wide} by load held for {counted} or more, {wanted} wanted; as "
             "varied as {as_many} cells used evenly.", numbers),
        Said("Least driven so far: {missing}.", numbers),
    )  # fmt: skip


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


def _empty_corner(case: Case, spread: LoadMap) -> str:
    """The third of speed by the third of load, within what was driven, with the least time."""
    names = (("low", "middle", "high"), ("light", "medium", "heavy"))
    ceiling = case.terms.phase.ceilings.get("engine_speed")
    top = spread.speed_edges[-1] if ceiling is None else ceiling.value.value
    speed = np.linspace(case.terms["idle_top"], top, 4)[1:-1]
    load = np.linspace(spread.load_edges[0], spread.load_edges[-1], 4)[1:-1]
    middle = [(edges[:-1] + edges[1:]) / 2 for edges in (spread.speed_edges, spread.load_edges)]
    third = [np.digitize(m, e) for m, e in zip(middle, (speed, load), strict=True)]
    time = np.zeros((3, 3))
    np.add.at(time, (third[0][:, None], third[1][None, :]), spread.seconds)
    i, j = np.unravel_index(int(time.argmin()), time.shape)
    return f"{names[0][i]} engine speed with {names[1][j]} load"
