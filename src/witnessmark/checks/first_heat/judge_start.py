"""Priming, firing and stopping against the plan."""

from itertools import pairwise

from witnessmark.checks.first_heat.sheet import Sheet
from witnessmark.checks.pressure.pressure_wait import PRESSURE
from witnessmark.checks.terms import count, gauge, seconds
from witnessmark.model.first_heat import Done, Ended, Run, StepFound
from witnessmark.model.log import Span
from witnessmark.model.plan import Phase, Step
from witnessmark.model.said import Said, Values

_LATER = "The recording begins with the engine running."
_UNSENT = (
    "This log shows no engine speed while the starter turns it: loggers often send none under "
    "400 rpm."
)


def judge_crank(sheet: Sheet, phase: Phase, place: int) -> StepFound:
    """Bursts of cranking without fire: how many, how long, what the gauge showed."""
    step, bursts = phase.steps[place], sheet.primes
    wanted, times = step.numbers["time"].value, step.numbers["times"].value
    if not bursts:
        next_ = Said("Send the recording of the prime, or write down what the gauge showed.")
        return StepFound(phase, step, Done.NOT_SHOWN, Said(_no_prime(sheet)), next_, ())
    least = wanted.value * (1 - sheet.terms["step_tolerance"])
    full = sum(b.span.length >= least - 1e-6 for b in bursts)
    highest = max((b.pressure for b in bursts if b.pressure is not None), default=None)
    numbers: Values = {
        "found": count(len(bursts)), "length": seconds(min(b.span.length for b in bursts)),
        "most": seconds(max(b.span.length for b in bursts)), "wanted": wanted,
        "times": times, "more": count(max(0, times.value - full)),
    }  # fmt: skip
    alike = max(b.span.length for b in bursts) - min(b.span.length for b in bursts) < 1
    lengths = "{length}" if alike else "{length} to {most}"
    proved, said_of_gauge = _proof(sheet, highest)
    text = f"Bursts without fire: {{found}} of {lengths}; planned {{times}} of {{wanted}}."
    said = Said(text + said_of_gauge.text, {**numbers, **said_of_gauge.values})
    spans = tuple(b.span for b in bursts)
    if full < times.value:
        more = Said("Bursts of {wanted} still to do: {more}, with a rest between.", numbers)
        return StepFound(phase, step, Done.PARTLY, said, more, spans)
    if not proved:
        more = Said("No needle, no start: find out why the gauge stays low.")
        return StepFound(phase, step, Done.PARTLY, said, more, spans)
    return StepFound(phase, step, Done.DONE, said, None, spans)


def _no_prime(sheet: Sheet) -> str:
    if not sheet.found.cranking_shown:
        return _UNSENT
    if sheet.first_run is None and sheet.found.key_on is None:
        return _LATER
    return "No cranking without fire in this recording."


def _proof(sheet: Sheet, highest: float | None) -> tuple[bool, Said]:
    """Whether the gauge proved the prime as far as this log shows, and the sentence about it."""
    if highest is None:
        what = "Oil pressure was not read" if PRESSURE in sheet.log else "No oil pressure"
        return True, Said(f" {what} in this log: the gauge is the proof.")
    if sheet.proof is None:
        return True, Said(" Oil pressure up to {highest}.", {"highest": gauge(highest)})
    numbers: Values = {"highest": gauge(highest), "proof": sheet.proof.value}
    if highest >= sheet.proof.value.value:
        return True, Said(" Oil pressure up to {highest}; {proof} is proof.", numbers)
    return False, Said(" Oil pressure only up to {highest}; {proof} is proof.", numbers)


def judge_rest(sheet: Sheet, phase: Phase, place: int) -> StepFound:
    """The starter rests between bursts, the first start counted."""
    step = phase.steps[place]
    first = sheet.found.runs[0].span.start if sheet.found.runs else float("inf")
    bursts = [b.span for b in sheet.found.bursts if b.span.start < first]
    rests = tuple(Span(a.end, b.start) for a, b in pairwise(bursts))
    if not sheet.primes or not rests:
        said = Said("No two bursts of cranking in this recording.")
        return StepFound(phase, step, Done.NOT_SHOWN, said, None, ())
    wanted, shortest = step.numbers["time"].value, min(rest.length for rest in rests)
    numbers: Values = {"shortest": seconds(shortest), "wanted": wanted}
    said = Said("Shortest rest {shortest}, planned {wanted}.", numbers)
    if shortest >= wanted.value * (1 - sheet.terms["step_tolerance"]):
        return StepFound(phase, step, Done.DONE, said, None, rests)
    next_ = Said("Give the starter {wanted} before it cranks again.", numbers)
    return StepFound(phase, step, Done.PARTLY, said, next_, rests)


def judge_fire(sheet: Sheet, phase: Phase, place: int) -> StepFound:
    """It fires and runs as long as planned; or, with a speed, is at that speed in time."""
    step = phase.steps[place]
    run = sheet.work_run if "speed" in step.numbers else sheet.first_run
    if run is None or not run.start_shown:
        text = _LATER if sheet.found.runs and not sheet.found.runs[0].start_shown else (
            "No start is followed by the work planned."
        )  # fmt: skip
        return StepFound(phase, step, Done.NOT_SHOWN, Said(text), None, ())
    return _to_speed(sheet, phase, step, run) if "speed" in step.numbers else _short_run(
        sheet, phase, step, run
    )  # fmt: skip


def _to_speed(sheet: Sheet, phase: Phase, step: Step, run: Run) -> StepFound:
    wanted, speed = step.numbers["time"].value, step.numbers["speed"].value
    took = time_to_speed(sheet, run, speed.value)
    span = Span(run.span.start, run.span.start + (took if took is not None else run.span.length))
    numbers: Values = {"took": seconds(span.length), "wanted": wanted, "speed": speed}
    if took is None:
        return StepFound(
            phase, step, Done.NOT_DONE, Said("It never came near {speed}.", numbers),
            Said("Straight to {speed} within {wanted} of firing.", numbers), (span,),
        )  # fmt: skip
    said = Said("At {speed} {took} after it fired, planned within {wanted}.", numbers)
    said = Said(said.text + _pressure(run).text, {**numbers, **_pressure(run).values})
    if took <= wanted.value + 1e-6:
        return StepFound(phase, step, Done.DONE, said, None, (span,))
    next_ = Said("After any restart: straight to {speed} within {wanted}.", numbers)
    return StepFound(phase, step, Done.PARTLY, said, next_, (span,))


def time_to_speed(sheet: Sheet, run: Run, speed: float) -> float | None:
    """Seconds from the start of a run until it is within a hand's breadth of a speed [rev/s]."""
    part = sheet.log.at(run.span)
    there = sheet.log["engine_speed"][part] >= speed - sheet.terms["hold_band"]
    if not there.any():
        return None
    return float(sheet.log.time[part][int(there.argmax())] - run.span.start)


def _short_run(sheet: Sheet, phase: Phase, step: Step, run: Run) -> StepFound:
    wanted, length = step.numbers["time"].value, run.span.length
    numbers: Values = {
        "length": seconds(length), "wanted": wanted, "more": seconds(wanted.value - length),
        **_pressure(run).values,
    }  # fmt: skip
    alone = sheet.work_run is not run
    text = "Ran {length}, planned {wanted}." if alone else "It ran on, planned {wanted}."
    said = Said(text + _pressure(run).text, numbers)
    if length >= wanted.value * sheet.terms["time_share"] - 1e-6:
        span = run.span if alone else Span(run.span.start, run.span.start + wanted.value)
        return StepFound(phase, step, Done.DONE, said, None, (span,))
    next_ = Said("Fire it again and let it run {wanted}, eyes on the gauge.", numbers)
    return StepFound(phase, step, Done.PARTLY, said, next_, (run.span,))


def _pressure(run: Run) -> Said:
    if run.pressure_after is None:
        return Said("")
    if run.pressure_after == 0:
        return Said(" Oil pressure was there as it fired.")
    return Said(" Oil pressure after {wait}.", {"wait": seconds(run.pressure_after)})


def judge_stop(sheet: Sheet, phase: Phase, place: int) -> StepFound:
    """It is shut off after the phase, and the recording shows it."""
    step = phase.steps[place]
    heat = phase is sheet.phases[-1]
    run = sheet.last_work_run() if heat else sheet.first_run
    if run is None:
        text = "The work before it is not in this recording." if heat else _LATER
        return StepFound(phase, step, Done.NOT_SHOWN, Said(text), None, ())
    if not heat and run is sheet.work_run:
        next_ = Said("Look all round for fuel, oil and coolant before it runs again.")
        said = Said("Not shut off: it went straight on to the first heat.")
        return StepFound(phase, step, Done.NOT_DONE, said, next_, ())
    if run.ended in (Ended.LOG_ENDS, Ended.UNSEEN):
        said = Said("The recording ends, or pauses, with the engine running.")
        return StepFound(phase, step, Done.NOT_SHOWN, said, None, ())
    after = [r.span.start for r in sheet.found.runs if r.span.start > run.span.end]
    end = min(after, default=float(sheet.log.time[-1] + sheet.log.held[-1]))
    off = Span(run.span.end, end)
    said = Said("Off for {length}." if after else "Shut off.", {"length": seconds(off.length)})
    return StepFound(phase, step, Done.DONE, said, None, (off,))
