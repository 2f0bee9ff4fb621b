"""Coolant and oil inside their working window: how long, how fast there, and whether ever."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from witnessmark.checks.case import Case
from witnessmark.checks.seen import found
from witnessmark.checks.terms import fraction, seconds
from witnessmark.model.finding import Answer, Finding
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

COOLANT, OIL = "coolant_temperature", "oil_temperature"
CHECK, TITLE = "heat.window", "Working temperature"

Numbers = dict[str, Quantity | str]


def temperature_window(case: Case) -> Iterator[Finding]:
    """The engine gets warm, stays between warm and hot, and warms without a jump."""
    shown = [name for name in (COOLANT, OIL) if name in case.log and _seen(case, name)]
    if not shown:
        fit = "Log coolant temperature."
        what = "coolant or oil temperature"
        yield case.missing(CHECK, TITLE, what, needs=COOLANT, fit=fit)
        return
    top = case.terms.limits["coolant_window_top"]
    numbers: Numbers = {"low": case.terms.limits["warm_coolant"].value, "top": top.value}
    told: list[str] = []
    advice: list[str] = []
    answer = Answer.KEPT
    if COOLANT in shown:
        numbers |= _inside(case, COOLANT)
        told.append("Coolant from {low} to {top} for {coolant} of the time, hottest {coolant_most}")
        told += _rise(case, numbers, advice)
        if not (case.log[COOLANT] >= case.terms["warm_coolant"]).any():
            answer = Answer.TOO_LITTLE
            told.append(_never_warm(case, numbers, advice))
    if OIL in shown:
        numbers |= _inside(case, OIL)
        told.append("Oil there for {oil}, hottest {oil_most}")
        if COOLANT not in shown:
            told = ["Oil from {low} to {top} for {oil} of the time, hottest {oil_most}"]
    yield found(
        case, CHECK, TITLE, (COOLANT, OIL), answer, Said(". ".join(told) + ".", numbers), top,
        do_next=Said(" ".join(advice), numbers) if advice else None,
    )  # fmt: skip


def _seen(case: Case, name: str) -> bool:
    return bool((case.running & ~np.isnan(case.log[name])).any())


def _inside(case: Case, channel: str) -> Numbers:
    """Share of the time shown in which a temperature lay in the window, and its highest."""
    values, name = case.log[channel], channel.removesuffix("_temperature")
    shown = case.running & ~np.isnan(values)
    low, top = case.terms["warm_coolant"], case.terms["coolant_window_top"]
    inside = shown & (values >= low) & (values <= top)
    share = fraction(case.log.total(inside) / case.log.total(shown))
    return {name: share, f"{name}_most": Quantity(float(values[shown].max()), Kind.TEMPERATURE)}


def _rise(case: Case, numbers: Numbers, advice: list[str]) -> list[str]:
    """How fast it warmed, and whether it jumped as no water does."""
    at = _looked_at(case, case.terms["jump_time"])
    jump = _fastest(case, at, case.terms["jump_time"])
    if jump is not None and jump > case.terms["coolant_jump"]:
        advice.append("Bleed the cooling system: coolant jumps as air or steam passes its sensor.")
    rate = _fastest(case, at, case.terms["warming_time"])
    if rate is None or rate <= 0:
        return []
    numbers["rate"] = Quantity(rate * 60, Kind.TEMPERATURE_DIFFERENCE)
    return ["Fastest rise {rate} in a minute"]


def _fastest(case: Case, at: NDArray[np.intp], window: float) -> float | None:
    """Fastest rise of the coolant from one reading to the next a window later or more. [K/s]

    None if the engine ran for less, or it was read but once.
    """
    time, values = case.log.time[at], case.log[COOLANT][at]
    later = np.searchsorted(time, time + window - 1e-9)
    first = np.flatnonzero(later < len(at))
    if not len(first):
        return None
    last = later[first]
    return float(((values[last] - values[first]) / (time[last] - time[first])).max())


def _looked_at(case: Case, window: float) -> NDArray[np.intp]:
    """Readings of the coolant, two a window: enough to find a rise that lasts longer than one."""
    log = case.log
    read = case.running & ~np.isnan(log[COOLANT])
    at = np.flatnonzero(read & log.fresh[COOLANT] if COOLANT in log.fresh else read)
    if not len(at):
        return at
    time = log.time[at]
    found_ = np.searchsorted(time, np.arange(time[0], time[-1], window / 2))
    return at[np.unique(found_)]


def _never_warm(case: Case, numbers: Numbers, advice: list[str]) -> str:
    moved = case.log.total(case.moving)
    numbers["moved"] = seconds(moved)
    if moved >= case.terms["thermostat_time"]:
        advice.append("Look at the thermostat: it stands open, or is missing.")
        return "It never got to {low} in {moved} on the move"
    advice.append("Log on until it is warm.")
    return "It never got to {low} in this log"
