"""Holds and sweeps against the plan, and the check on sweeps for any review."""

from collections.abc import Iterator

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.first_heat.count import SweepCount, count_sweep
from witnessmark.checks.first_heat.sheet import Sheet
from witnessmark.checks.first_heat.sweep import Ladder
from witnessmark.checks.terms import Terms, count, revolutions, seconds
from witnessmark.model.finding import Answer, Finding
from witnessmark.model.first_heat import Done, Found, StepFound
from witnessmark.model.plan import Doing, Phase, Step
from witnessmark.model.said import Said, Values


def judge_hold(sheet: Sheet, phase: Phase, place: int) -> StepFound:
    """Time at the speed, added up: a stop pauses the clock and takes nothing away."""
    step, hold = phase.steps[place], sheet.found.holds[place]
    wanted, speed = step.numbers["time"].value, step.numbers["speed"].value
    numbers: Values = {
        "found": seconds(hold.seconds), "wanted": wanted, "low": revolutions(hold.low),
        "high": revolutions(hold.high), "more": seconds(max(0.0, wanted.value - hold.seconds)),
        "speed": speed, "parts": count(len(hold.spans)),
    }  # fmt: skip
    parts = "" if len(hold.spans) < 2 else ", in {parts} parts"
    text = f"{{found}} between {{low}} and {{high}}{parts}; planned {{wanted}}."
    if not hold.spans:
        text = "Never held between {low} and {high}; planned {wanted}."
    said = Said(text, numbers)
    if hold.seconds >= wanted.value * sheet.terms["time_share"] - 1e-6:
        return StepFound(phase, step, Done.DONE, said, None, hold.spans)
    next_ = Said("Hold {speed} for {more}" + (" more." if hold.spans else "."), numbers)
    done = Done.PARTLY if hold.seconds else Done.NOT_DONE
    return StepFound(phase, step, done, said, next_, hold.spans)


def judge_sweep(sheet: Sheet, phase: Phase, place: int) -> StepFound:
    """Passes from end to end, the height of the steps and the time on each."""
    step, found = phase.steps[place], sheet.found
    if found.too_long:
        said = Said("The recording runs too long to look for a sweep in it.")
        cut = Said("Cut it to the first heat and send it again.")
        return StepFound(phase, step, Done.NOT_SHOWN, said, cut, ())
    done, said, next_ = sweep_said(found, step, place, sheet.terms)
    spans = tuple(span for one in found.sweeps[place] for span in one.spans)
    return StepFound(phase, step, done, said, next_, spans)


def sweep_said(
    found: Found, step: Step, place: int, terms: Terms
) -> tuple[Done, Said, Said | None]:
    """What was found of one sweep, and what to do for the rest."""
    ladder, sweeps = Ladder.of(step), found.sweeps[place]
    many = count_sweep(sweeps, ladder, terms["step_tolerance"])
    numbers = {**{k: limit.value for k, limit in step.numbers.items()}, **_numbers(many)}
    if not sweeps:
        said = Said("No sweep between {from} and {to} found.", numbers)
        return Done.NOT_DONE, said, Said(_all_of_it(step), numbers)
    text = "{passes} of {wanted} passes from end to end, {found} in all"
    if many.parts:
        text += ", and {parts} that turned half-way"
    if many.ramp:
        text += "; one slow ramp, no steps"
    elif not np.isnan(many.height):
        text += "; steps of about {height} for {typical} ({step} for {each} planned)"
    if many.short:
        text += "; cut short: {short} of {steps} steps"
    if many.long:
        text += "; held longer: {long} of {steps}"
    said = Said(text + ".", numbers)
    missing = _missing(many, ladder, terms)
    if not missing:
        return Done.DONE, said, None
    return Done.PARTLY, said, Said(missing, numbers)


def _numbers(many: SweepCount) -> Values:
    return {
        "passes": count(many.passes), "wanted": count(many.wanted), "parts": count(many.parts),
        "found": seconds(many.seconds), "height": revolutions(many.height),
        "typical": seconds(many.each), "short": count(many.short), "long": count(many.long),
        "steps": count(many.steps), "more": count(max(0, many.wanted - many.passes)),
    }  # fmt: skip


def _missing(many: SweepCount, ladder: Ladder, terms: Terms) -> str:
    """What to do next, "" if the step is done."""
    if many.passes < many.wanted:
        return "Passes still to do: {more}, from end to end, {each} at each step of {step}."
    if many.seconds < ladder.time * terms["time_share"] - 1e-6:
        return "Stay {each} at each step, {time} in all; {found} so far."
    wrong = abs(many.height - ladder.rung) > terms["step_tolerance"] * ladder.rung
    if wrong and not many.ramp:
        return "Next time in steps of {step}."
    return ""


def _all_of_it(step: Step) -> str:
    return "From {from} to {to} and back by {step}, {each} at each, {times} times."


def sweep_time(case: Case) -> Iterator[Finding]:
    """The phase's sweeps were run from end to end, as often and as slowly as planned."""
    steps = enumerate(case.terms.phase.steps)
    for place, step in [(i, s) for i, s in steps if s.doing is Doing.SWEEP]:
        who = step.numbers["time"].authority
        if case.heat.too_long:
            said = Said("The log runs too long to look for a first heat's sweep in it.")
            cut = Said("Cut it to the first heat and send it again.")
            yield Finding("shown.sweep", "Sweep", Answer.TOO_LITTLE, said, True, who, (), cut)
            continue
        done, said, next_ = sweep_said(case.heat, step, place, case.terms)
        answer = Answer.KEPT if done is Done.DONE else Answer.TOO_LITTLE
        yield Finding("shown.sweep", "Sweep", answer, said, True, who, do_next=next_)
