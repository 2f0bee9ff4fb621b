"""Lines of the verdict on the start itself: prime, first fire, starter, too slow a cam."""

from collections.abc import Iterator, Mapping
from itertools import pairwise

from witnessmark.checks.first_heat.sheet import Sheet
from witnessmark.checks.first_heat.trace import Trace
from witnessmark.checks.terms import revolutions, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.first_heat import Done, Ended, Found, Interruption, StepFound
from witnessmark.model.log import Span
from witnessmark.model.plan import Doing, Limit
from witnessmark.model.said import Said, Values

_ANSWERS = {
    Done.DONE: Answer.KEPT,
    Done.PARTLY: Answer.TOO_LITTLE,
    Done.NOT_DONE: Answer.TOO_LITTLE,
    Done.NOT_SHOWN: Answer.NOT_SHOWN,
}
_TITLES = {Doing.CRANK: ("start.prime", "Oil prime"), Doing.FIRE: ("start.fire", "First fire")}


def start_lines(steps: tuple[StepFound, ...]) -> Iterator[Finding]:
    """Prime and first fire as lines of the verdict; a log need not show them."""
    for found in steps:
        if found.step.doing in _TITLES:
            check, title = _TITLES[found.step.doing]
            yield Finding(
                check, title, _ANSWERS[found.done], found.said, False,
                found.step.line.authority, do_next=found.do_next,
            )  # fmt: skip


def starter_budget(found: Found, budget: Limit | None) -> Iterator[Finding]:
    """Cranking in all stays within what the plan gives the starter."""
    if budget is None:
        return
    if not found.bursts:
        said = Said("This log shows no cranking.")
        yield Finding(
            "start.starter", "Starter budget", Answer.NOT_SHOWN, said, False, budget.authority,
            do_next=Said("Count the bursts by the clock."),
        )  # fmt: skip
        return
    spent = sum(burst.span.length for burst in found.bursts)
    over = spent > budget.value.value + 1e-6
    said = Said(
        "{spent} of cranking in {times}, {budget} allowed.",
        {
            "spent": seconds(spent), "budget": budget.value,
            "times": "one burst" if len(found.bursts) == 1 else f"{len(found.bursts)} bursts",
        },
    )  # fmt: skip
    last = found.bursts[-1].span
    events = (Event(last, Said("the burst that went over")),) if over else ()
    yield Finding(
        "start.starter", "Starter budget", Answer.BROKEN if over else Answer.KEPT, said, False,
        budget.authority, events,
        Said("Stop cranking. Find out why it does not fire, or why no pressure comes.")
        if over else None,
    )  # fmt: skip


def fire_speed(sheet: Sheet) -> Iterator[Finding]:
    """The first fire stays under its own ceiling, which is lower than that of the first heat."""
    phase = next((p for p in sheet.phases if p.id == "first-fire"), None)
    limit = phase.ceilings.get("engine_speed") if phase else None
    run = sheet.first_run
    if limit is None or run is None or run is sheet.work_run:
        return
    trace = Trace(sheet.log, sheet.terms)
    over = (trace.speed > limit.value.value) & trace.inside([run.span])
    spans = trace.stretches(over, at_least=sheet.terms["over_speed_grace"])
    most = float(trace.speed[trace.slice(run.span)].max())
    numbers: Values = {"most": revolutions(most), "ceiling": limit.value}
    yield Finding(
        "start.speed", "First fire ceiling", Answer.BROKEN if spans else Answer.KEPT,
        Said("Highest {most}, ceiling {ceiling}.", numbers), False, limit.authority,
        tuple(Event(span, Said("over {ceiling} in the first fire", numbers)) for span in spans),
        Said("No blipping: a first fire is for the gauge and the ears.") if spans else None,
    )  # fmt: skip


def too_slow(sheet: Sheet, numbers: Mapping[str, Limit] | None) -> Iterator[Finding]:
    """A flat tappet cam is not run slower than splash oils it; running up and off is allowed.

    `numbers` : speed and time of the plan's abort for it, None for any other cam.
    """
    if numbers is None:
        return
    speed, time = numbers["speed"], numbers["time"]
    trace = Trace(sheet.log, sheet.terms)
    runs = [run.span for run in sheet.found.runs]
    slow = (trace.speed < speed.value.value) & trace.inside(runs)
    spans = trace.stretches(slow, at_least=time.value.value + 1e-6)
    length = sum(span.length for span in spans)
    values: Values = {"speed": speed.value, "time": time.value, "length": seconds(length)}
    kept = "Never under {speed} for more than {time} while it ran."
    said = "Under {speed} for {length} in spells longer than {time}: the lobes ran without oil."
    yield Finding(
        "speed.slow", "Slowest for a flat tappet cam", Answer.BROKEN if spans else Answer.KEPT,
        Said(said if spans else kept, values), True, time.authority,
        tuple(Event(span, Said("under {speed}", values)) for span in spans),
        Said("Shut off rather than idle. Look at the lobes before it runs again.")
        if spans else None,
    )  # fmt: skip


def interruptions(sheet: Sheet, findings: tuple[Finding, ...]) -> tuple[Interruption, ...]:
    """Stops with work before and after: how long, what happened, how soon it was back at work."""
    found, work = [], sheet.work
    for run, following in pairwise(sheet.found.runs):
        gap = Span(run.span.end, following.span.start)
        before = any(span.start < gap.start for span in work)
        starts = [s.start for s in work if s.end > gap.end + 1e-6]
        if not before or not starts:
            continue
        what = _limit_before(gap.start, findings, sheet.terms["stop_cause"])
        at_once = [max(s, gap.end) - gap.end for s in starts if s < following.span.end]
        found.append(
            Interruption(gap, Ended.LIMIT if what else run.ended, what, min(at_once, default=None))
        )
    return tuple(found)


def _limit_before(stop: float, findings: tuple[Finding, ...], within: float) -> str:
    for finding in findings:
        if finding.answer is Answer.BROKEN and finding.check != "speed.slow":
            for event in finding.events:
                if event.span.start < stop and event.span.end >= stop - within:
                    return finding.title
    return ""
