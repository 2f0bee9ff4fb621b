"""Nothing went over its ceiling: engine speed, boost, temperatures."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.terms import fraction, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Span
from witnessmark.model.plan import Limit
from witnessmark.model.said import Said, Values
from witnessmark.units import Kind, Quantity


@dataclass(frozen=True)
class Ceiling:
    """One ceiling over one channel. Times in s, slack and values in the limit's SI unit."""

    check: str
    title: str
    values: Floats
    limit: Limit
    required: bool
    grace: float = 0.0  # a stretch over the ceiling shorter than this does not count
    slack: float = 0.0  # what the sensor may read over the ceiling without meaning it
    basis: str = ""  # a sentence on what the values rest upon
    shut: str = ""  # what an excess on a shut throttle is called
    advice: str = ""  # what to do when it was broken; may name {ceiling}


def speed_ceiling(case: Case) -> Iterator[Finding]:
    """Engine speed stays at or under the phase's ceiling."""
    limit = case.terms.phase.ceilings.get("engine_speed")
    if limit is not None:
        speed = case.log["engine_speed"]
        grace = case.terms["over_speed_grace"]
        shut = ", with the throttle shut (a missed shift?)"
        yield _judge(
            case,
            Ceiling(
                "speed.ceiling",
                "Engine speed",
                speed,
                limit,
                True,
                grace,
                shut=shut,
                advice="Change up in time. Tell the builder that it went over {ceiling}.",
            ),
        )


def boost_ceiling(case: Case) -> Iterator[Finding]:
    """Manifold pressure above the atmosphere stays at or under the phase's ceiling."""
    limit = case.terms.phase.ceilings.get("boost")
    if limit is None:
        return
    if "manifold_pressure" not in case.log:
        yield case.missing(
            "boost.ceiling", "Boost ceiling", "manifold pressure", needs="manifold_pressure",
            fit="Log manifold (boost) pressure.",
        )  # fmt: skip
        return
    yield _judge(
        case,
        Ceiling(
            "boost.ceiling", "Boost", case.log["manifold_pressure"] - case.air.values, limit,
            case.terms.needs("manifold_pressure"), case.terms["boost_grace"],
            case.terms["boost_tolerance"], f" Atmosphere {case.air.why}.",
            advice="Less throttle, and have the boost control set to its least.",
        ),
    )  # fmt: skip


def coolant_ceiling(case: Case) -> Iterator[Finding]:
    """Coolant stays at or under its ceiling."""
    yield from _temperature(
        case, "coolant_temperature", "coolant.ceiling", "Coolant temperature",
        "Let it cool with the cap on. Find the air, the level or the fan before the next drive.",
    )  # fmt: skip


def oil_ceiling(case: Case) -> Iterator[Finding]:
    """Oil stays at or under its ceiling."""
    yield from _temperature(
        case, "oil_temperature", "oil.ceiling", "Oil temperature",
        "Ease off sooner. Look at oil level and cooler before the next drive.",
    )  # fmt: skip


def oil_pressure_ceiling(case: Case) -> Iterator[Finding]:
    """Oil pressure stays under what would mean a relief valve that does not open.

    The recipe's ceiling is a general one: it decides only where this engine's own band is silent
    or broken as well.
    """
    limit = case.terms.phase.ceilings.get("oil_pressure")
    # Where the log has no oil pressure, its floor says so; once is enough.
    if limit is not None and "oil_pressure" in case.log:
        pressure, required = case.log["oil_pressure"], case.terms.needs("oil_pressure")
        over = pressure > limit.value.value
        own = case.own_pressure if over.any() else None
        expected = over & (pressure <= own.top) if own is not None else np.zeros_like(over)
        if own is not None and expected.any() and np.array_equal(expected, over):
            yield _high_but_expected(case, limit, required, own.band.basis)
            return
        judged = np.where(expected, limit.value.value, pressure)
        yield _judge(
            case,
            Ceiling(
                "oil.high", "Oil pressure", judged, limit, required,
                advice="Stop. Look at the relief valve and the filter.",
            ),
        )  # fmt: skip


def _high_but_expected(case: Case, limit: Limit, required: bool, basis: str) -> Finding:
    pressure = case.log["oil_pressure"]
    said = Said(
        "Highest {most}, over the {ceiling} that is a general ceiling. All of it inside this "
        f"engine's own band, {basis}, which decides here.",
        {"most": Quantity(float(np.nanmax(pressure)), limit.value.kind), "ceiling": limit.value},
    )
    answer = Answer.KEPT if case.shows(pressure) else Answer.TOO_LITTLE
    return Finding(
        "oil.high", "Oil pressure ceiling", answer, said, required, limit.authority,
        do_next=Said("Let cold oil warm before more revs: filters and seals have limits too."),
    )  # fmt: skip


def _temperature(
    case: Case, channel: str, check: str, title: str, advice: str
) -> Iterator[Finding]:
    limit = case.terms.phase.ceilings.get(channel)
    if limit is None:
        return
    if channel not in case.log:
        what = title.lower()
        yield case.missing(check, f"{title} ceiling", what, needs=channel, fit=f"Log {what}.")
        return
    required = case.terms.needs(channel)
    yield _judge(case, Ceiling(check, title, case.log[channel], limit, required, advice=advice))


def _judge(case: Case, ceiling: Ceiling) -> Finding:
    """Broken with its moments, or kept, or seen too little."""
    limit = ceiling.limit
    over = ceiling.values > limit.value.value + ceiling.slack
    spans = case.log.spans(over, at_least=ceiling.grace)
    if not spans:
        return _not_broken(case, ceiling)
    worst = max(_worst(case, ceiling, span) for span in spans)
    said = Said(
        "{worst} against a ceiling of {ceiling}: {over} over, {length} in all, {times}."
        + ceiling.basis,
        {
            "worst": Quantity(worst, limit.value.kind),
            "ceiling": limit.value,
            "over": _over(worst, limit),
            "length": seconds(sum(span.length for span in spans)),
            "times": "once" if len(spans) == 1 else f"{len(spans)} times",
        },
    )
    return Finding(
        ceiling.check, f"{ceiling.title} ceiling", Answer.BROKEN, said, ceiling.required,
        limit.authority, tuple(_event(case, ceiling, span) for span in spans),
        Said(ceiling.advice, {"ceiling": limit.value}),
    )  # fmt: skip


def _not_broken(case: Case, ceiling: Ceiling) -> Finding:
    limit, values = ceiling.limit, ceiling.values[case.running]
    shown = case.share_shown(ceiling.values)
    most = float(np.nanmax(values)) if shown > 0 else float("nan")
    answer, text = Answer.KEPT, "Highest {most}, ceiling {ceiling}."
    if not case.shows(ceiling.values):
        answer = Answer.TOO_LITTLE
        text = "Shown for {share} of the running time only; highest seen {most}."
    elif most > limit.value.value:
        text = "Highest {most}, too brief or too close to count; ceiling {ceiling}."
    numbers: Values = {
        "most": Quantity(most, limit.value.kind),
        "ceiling": limit.value,
        "share": fraction(shown),
    }
    return Finding(
        ceiling.check, f"{ceiling.title} ceiling", answer, Said(text + ceiling.basis, numbers),
        ceiling.required, limit.authority,
    )  # fmt: skip


def _event(case: Case, ceiling: Ceiling, span: Span) -> Event:
    worst = _worst(case, ceiling, span)
    text = "{worst}, {over} over"
    if case.closed is not None and case.closed[0][case.log.at(span)].mean() > 0.5:
        text += ceiling.shut
    return Event(
        span,
        Said(
            text,
            {
                "worst": Quantity(worst, ceiling.limit.value.kind),
                "over": _over(worst, ceiling.limit),
            },
        ),
    )


def _worst(case: Case, ceiling: Ceiling, span: Span) -> float:
    return float(np.nanmax(case.log.during(span, ceiling.values)))


def _over(worst: float, limit: Limit) -> Quantity:
    kind = limit.value.kind
    difference = Kind.TEMPERATURE_DIFFERENCE if kind is Kind.TEMPERATURE else kind
    return Quantity(worst - limit.value.value, difference)
