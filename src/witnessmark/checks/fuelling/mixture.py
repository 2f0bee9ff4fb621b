"""Lambda against load: lean under load burns pistons, rich for long washes bores."""

from collections.abc import Iterator, Sequence

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.fuelling.lambda_values import (
    CHANNEL,
    Readings,
    Wanted,
    lambda_of,
    lambda_readings,
    no_lambda,
    wanted,
)
from witnessmark.checks.fuelling.lean_spells import Lean, LeanSpells, lean_spells
from witnessmark.checks.fuelling.mixture_kept import little, never_lean, short_of
from witnessmark.checks.fuelling.mixture_table import mixture_table
from witnessmark.checks.seen import found
from witnessmark.checks.terms import seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Span
from witnessmark.model.said import Said, Values
from witnessmark.units import Quantity

CHECK, TITLE = "fuelling.lambda", "Mixture by load"


def mixture_by_load(case: Case) -> Iterator[Finding]:
    """Under load the mixture is never leaner than it should be, and never rich for long."""
    if CHANNEL not in case.log:
        yield case.missing(
            CHECK, TITLE, "the mixture (lambda)", needs=CHANNEL, fit="Log a wide-band lambda."
        )
        return
    limit = case.terms.limits["lambda_excess"]
    readings = lambda_readings(case)
    doubt = no_lambda(case, readings)
    if doubt is not None:
        yield found(
            case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, doubt, limit,
            do_next=Said("Log a hot wide-band sensor, and see that logger and gauge agree."),
        )  # fmt: skip
        return
    if case.terms.facts.fuel == "diesel":
        yield _diesel(case, readings)
        return
    right, rich = wanted(case), _rich(case, readings.values)
    spells = LeanSpells() if right is None else lean_spells(case, readings.values, right)
    if spells.lean or rich:
        yield _broken(case, readings, right, spells.lean, rich)
    else:
        yield _not_broken(case, readings, right, spells)


def _rich(case: Case, values: Floats) -> list[Span]:
    """Long spells under the richest that does not wash bores, on a warm engine."""
    warm = case.warm if case.warm is not None else case.running
    rich = warm & (values < case.terms["lambda_rich"])
    return case.log.spans(rich, at_least=case.terms["rich_time"])


def _broken(
    case: Case, readings: Readings, right: Wanted | None, lean: Sequence[Lean], rich: list[Span]
) -> Finding:
    events = [spell.event for spell in lean]
    events += [
        Event(span, Said("{richest}: rich", {"richest": _least(case, readings.values, span)}))
        for span in rich
    ]
    told, advice = [], []
    values: dict[str, Quantity | str] = {"by": right.by if right else ""}
    if lean:
        told.append("Lean under load {times}, {length} in all, up to {leanest}. Held against {by}.")
        advice.append("Stop: no more load until the map or the fuel supply is put right.")
        values |= {
            "times": _times(lean), "length": seconds(sum(s.span.length for s in lean)),
            "leanest": lambda_of(max(spell.leanest for spell in lean)),
        }  # fmt: skip
    if rich:
        told.append("Richer than {rich} {spells}, {lasted} in all.")
        advice.append("Mend the rich map or injector: fuel washes the bores. Smell the oil.")
        values |= {
            "rich": case.terms.limits["lambda_rich"].value, "spells": _times(rich),
            "lasted": seconds(sum(s.length for s in rich)),
        }  # fmt: skip
    limit = case.terms.limits["lambda_excess" if lean else "lambda_rich"]
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.BROKEN, Said(" ".join(told), values), limit,
        do_next=Said(" ".join(advice)), events=tuple(events),
        table=mixture_table(case, readings.values, right),
    )  # fmt: skip


def _not_broken(
    case: Case, readings: Readings, right: Wanted | None, spells: LeanSpells
) -> Finding:
    table = mixture_table(case, readings.values, right)
    state = short_of(case, readings, right)
    if state is None:
        assert right is not None
        state = never_lean(case, readings, right, spells.doubtful)
    answer, said, advice = state
    return found(
        case, CHECK, TITLE, (CHANNEL,), answer, said, case.terms.limits["lambda_excess"],
        do_next=advice, table=table,
    )  # fmt: skip


def _diesel(case: Case, readings: Readings) -> Finding:
    """A diesel is run by fuel alone: the least lambda under load is what matters."""
    limit = case.terms.limits["lambda_diesel"]
    values, loaded = readings.values, case.loaded
    table = mixture_table(case, values, None)
    if loaded is None or case.log.total(loaded & ~np.isnan(values)) < case.terms["load_spell"]:
        answer, said, advice = little(
            Said("Lambda was not read under load."), "Log pulls under load."
        )
    else:
        low = case.log.spans(loaded & (values < limit.value.value), case.terms["lean_time"])
        least = lambda_of(float(np.nanmin(values[loaded])))
        numbers: Values = {"least": least, "limit": limit.value, "times": _times(low) or "never"}
        said = Said("Least {least} under load; under {limit} {times}.", numbers)
        advice = Said("Ask the tuner: less fuel or more air there, or it smokes.") if low else None
        answer = Answer.KEPT
    return found(case, CHECK, TITLE, (CHANNEL,), answer, said, limit, do_next=advice, table=table)


def _least(case: Case, values: Floats, span: Span) -> Quantity:
    return lambda_of(float(np.nanmin(case.log.during(span, values))))


def _times(spans: Sequence[Span | Lean]) -> str:
    return {0: "", 1: "once"}.get(len(spans), f"{len(spans)} times")
