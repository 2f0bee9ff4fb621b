"""The lambda readings that mean something, and the mixture they are held against."""

from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import and_after, is_stuck, overrun, sample
from witnessmark.model.log import Floats, Mask
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

CHANNEL, TARGET = "lambda", "lambda_target"


@dataclass(frozen=True)
class Readings:
    """Lambda where the sensor could tell the mixture, NaN elsewhere. Shape (n,). [-]

    `at_end`: where it stood at the end of its scale: no reading, and no comfort under load.
    `cut`: where the fuel was cut, and just after: no reading is missed there.
    """

    values: Floats
    at_end: Mask
    cut: Mask


def lambda_readings(case: Case) -> Readings:
    """Readings of a hot sensor in burnt gas, away from the end of its scale."""
    values = case.log[CHANNEL]
    burning = case.settled("lambda_warm") & _warm_at_first(case)
    cut = and_after(case.log, overrun(case), case.terms["lambda_settle"])
    burning &= ~cut
    at_end = _at_end(case, values)
    return Readings(np.where(burning & ~at_end, values, np.nan), at_end & burning, cut)


def _warm_at_first(case: Case) -> Mask:
    """False while the sensor may still be cold because the log begins on a cold engine."""
    time, warm = case.log.time, np.ones(len(case.log.time), dtype=bool)
    if case.running[0] and case.warm is not None and not case.warm[0]:
        warm[time < time[0] + case.terms["lambda_warm"]] = False
    return warm


def _at_end(case: Case, values: Floats) -> Mask:
    """Where the channel stands at the lean end of its scale.

    Its leanest value is an end if it was held off load, where the exhaust holds plain air or the
    sensor is cold, and if it is leaner than any closed loop: a lean moment is no end of a scale.
    """
    nowhere = np.zeros(len(values), dtype=bool)
    top = float(np.nanmax(values)) if not np.isnan(values).all() else np.nan
    if not top > case.terms["lambda_cruise_high"] or case.loaded is None:
        return nowhere
    end = values == top
    held = case.log.spans(end & ~case.loaded, at_least=case.terms["lean_time"])
    return end if held else nowhere


def no_lambda(case: Case, readings: Readings) -> Said | None:
    """Why these readings are not the mixture of this engine; None if they may be."""
    values = np.where(readings.at_end, case.log[CHANNEL], readings.values)
    shown = values[~np.isnan(values)]
    if not len(shown):
        return Said("The sensor was never hot and in burnt gas in this log.")
    if is_stuck(values, case.running):
        stuck = {"at": lambda_of(float(shown[0]))}
        return Said("Lambda stands at {at} for the whole log: the channel is stuck.", stuck)
    swing = _swing(case, values)
    if swing > case.terms["lambda_swing"]:
        numbers = {"swing": lambda_of(swing), "time": case.terms.limits["swing_time"].value}
        text = "It swings by {swing} within {time}, as a narrow-band sensor does: no lambda."
        return Said(text, numbers)
    middle = float(np.median(sample(shown)))
    if case.terms.facts.fuel != "diesel" and middle > case.terms["lambda_diesel"]:
        text = "Its middle is {middle}: no petrol engine runs on that. Another scale or sensor."
        return Said(text, {"middle": lambda_of(middle)})
    return None


def _swing(case: Case, values: Floats) -> float:
    """How far the readings swing within the swing time, in the middle of all such stretches."""
    time = case.log.time
    first = np.searchsorted(time, np.arange(time[0], time[-1], case.terms["swing_time"]))
    first = np.unique(first)
    spread = np.fmax.reduceat(values, first) - np.fmin.reduceat(values, first)
    spread = spread[~np.isnan(spread)]
    return float(np.median(spread)) if len(spread) else 0.0


@dataclass(frozen=True)
class Wanted:
    """The leanest mixture that is right for each sample, and what says so. Shape (n,). [-]

    `asked`: leaner than this on average is a question. NaN where nothing is known.
    """

    leanest: Floats
    asked: Floats
    boosted: Mask
    by: str


def wanted(case: Case) -> Wanted | None:
    """What lambda should be under load on petrol or a blend; None if neither log nor plan tells."""
    boosted = _boosted(case)
    own = case.log.channels.get(TARGET)
    if case.terms.facts.fuel == "":
        return None if own is None else Wanted(own, own, boosted, "the log's own target")
    boost = _boost_lambda(case)
    leanest = np.where(boosted, boost, case.terms["lambda_unboosted"])
    asked = np.where(boosted, boost, case.terms["lambda_part_load"])
    if own is None:
        return Wanted(leanest, asked, boosted, f"what {case.terms.facts.fuel} needs")
    known = ~np.isnan(own)
    return Wanted(
        np.where(known, own, leanest), np.where(known, own, asked), boosted,
        "the log's own target",
    )  # fmt: skip


def _boosted(case: Case) -> Mask:
    if "manifold_pressure" not in case.log or not case.terms.facts.boosted:
        return np.zeros(len(case.log.time), dtype=bool)
    over = case.log["manifold_pressure"] - case.air.values
    boosted: Mask = over > case.terms["boost_tolerance"]
    return boosted


def _boost_lambda(case: Case) -> float:
    """Leanest in boost for the fuel: between petrol's and ethanol's in proportion."""
    share = min(case.terms.facts.ethanol / case.terms["ethanol_full"], 1.0)
    petrol, ethanol = case.terms["lambda_boost_petrol"], case.terms["lambda_boost_ethanol"]
    return petrol + share * (ethanol - petrol)


def lambda_of(value: float) -> Quantity:
    """A mixture as a quantity."""
    return Quantity(value, Kind.MIXTURE)
