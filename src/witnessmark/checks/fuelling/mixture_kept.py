"""What is said of a mixture that was not found lean: kept, or too little shown."""

from collections.abc import Sequence

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.fuelling.lambda_values import CHANNEL, Readings, Wanted, lambda_of
from witnessmark.checks.seen import every
from witnessmark.checks.terms import fraction, seconds
from witnessmark.model.finding import Answer
from witnessmark.model.log import Floats, Mask, Span
from witnessmark.model.said import Said
from witnessmark.units import Quantity

State = tuple[Answer, Said, Said | None]


def short_of(case: Case, readings: Readings, right: Wanted | None) -> State | None:
    """Why these readings cannot say "kept"; None if they can."""
    if right is None:
        text = "Shown, not judged: no target in the log, and the plan does not say the fuel."
        return little(Said(text), "Log the lambda target.")
    if case.loaded is None:
        text = "The log shows no load to hold the mixture against."
        return little(Said(text), "Log manifold pressure.")
    off = case.log.spans(readings.at_end & case.loaded, at_least=case.terms["lean_time"])
    if off:
        numbers = {"length": seconds(sum(s.length for s in off))}
        text = "Under load lambda stood at the lean end of its scale for {length}: no reading."
        advice = "No more load until you know which: a sensor off its scale, or no fuel."
        return little(Said(text, numbers), advice)
    return _seldom(case, readings.values, case.loaded & ~readings.cut)


def _seldom(case: Case, values: Floats, loaded: Mask) -> State | None:
    """Why lambda was read too seldom where the engine burnt fuel under load; None if not."""
    whole, read = (case.log.total(m) for m in (loaded, loaded & ~np.isnan(values)))
    if read < case.terms["load_spell"]:
        text = "No load held long enough to read the mixture."
        return little(Said(text), "Log pulls under load, with the sensor hot.")
    if read < whole * case.terms["shown_share"]:
        text = "Only {share} of the time under load has a reading."
        numbers = {"share": fraction(read / whole)}
        return little(Said(text, numbers), "Log lambda all the time, with the sensor hot.")
    step = every(case, CHANNEL)
    if step > case.terms["lean_time"]:
        text = "Read every {step}: a lean moment of {least} slips through."
        numbers = {"step": seconds(step), "least": case.terms.limits["lean_time"].value}
        return little(Said(text, numbers), "Log lambda ten times a second.")
    return None


def little(said: Said, advice: str) -> State:
    """Too little shown, and what to do."""
    return Answer.TOO_LITTLE, said, Said(advice)


def never_lean(case: Case, readings: Readings, right: Wanted, doubtful: Sequence[Span]) -> State:
    """What to say of a mixture that was not lean: how rich, and what to ask."""
    assert case.loaded is not None
    values = readings.values
    pulled = case.loaded & ~np.isnan(values)
    held = case.log.held[pulled]
    mean = float(np.average(values[pulled], weights=held))
    asked = float(np.average(right.asked[pulled], weights=held))
    cruise = _cruise(case, values)
    low, high = case.terms.limits["lambda_cruise_low"], case.terms.limits["lambda_cruise_high"]
    numbers: dict[str, Quantity | str] = {
        "mean": lambda_of(mean), "asked": lambda_of(asked), "by": right.by, "low": low.value,
        "cruise": lambda_of(cruise), "high": high.value,
    }  # fmt: skip
    text = "Never lean under load: {mean} on average, {asked} or richer wanted. By {by}."
    advice = []
    if doubtful:
        numbers["zone"] = seconds(sum(span.length for span in doubtful))
        text = (
            "Under load {mean} on average, {asked} or richer wanted. Leaner than that for {zone}, "
            "as a closed loop holds it. By {by}."
        )
        advice.append("Ask the tuner whether the map means {mean} under load; log its target.")
    if not np.isnan(cruise):
        text += " Light load {cruise}."
        if not low.value.value <= cruise <= high.value.value:
            advice.append(
                "Ask the tuner: light load averages {cruise}; {low} to {high} is usual warm."
            )
    return Answer.KEPT, Said(text, numbers), Said(" ".join(advice), numbers) if advice else None


def _cruise(case: Case, values: Floats) -> float:
    """Mean at light load on the move, warm; NaN when it was not shown for long enough."""
    warm = case.warm if case.warm is not None else case.running
    light: Mask = case.moving & warm & ~np.isnan(values)
    if case.worked is not None:
        light = light & ~case.worked
    held = case.log.held[light]
    if held.sum() < case.terms["trim_cell_time"]:
        return float("nan")
    return float(np.average(values[light], weights=held))
