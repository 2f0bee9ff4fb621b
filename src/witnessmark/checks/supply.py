"""Voltage: the battery is charged while the engine runs, and no more than it bears."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.seen import found, is_stuck, sample
from witnessmark.checks.terms import fraction, seconds
from witnessmark.model.finding import Answer, Event, Finding
from witnessmark.model.log import Floats, Mask, Span
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

CHANNEL = "battery_voltage"
CHECK, TITLE = "supply.voltage", "Voltage, engine running"


@dataclass(frozen=True)
class System:
    """The limits of a 12 V system, or twice that. [V]"""

    times: int

    def of(self, case: Case, name: str) -> float:
        """A limit for this system."""
        return case.terms[name] * self.times


def voltage(case: Case) -> Iterator[Finding]:
    """The alternator charges, without boiling the battery and without dips."""
    if CHANNEL not in case.log:
        yield case.missing(
            CHECK, TITLE, "voltage", needs=CHANNEL, fit="Log the voltage of the engine's computer."
        )
        return
    low = case.terms.limits["charging_low"]
    volts = case.log[CHANNEL]
    settled = case.settled("start_settle") & ~np.isnan(volts)
    if not settled.any():
        said = Said("Never read while the engine ran.")
        yield found(
            case, CHECK, TITLE, (CHANNEL,), Answer.TOO_LITTLE, said, low,
            do_next=Said("Log it on the drive."),
        )  # fmt: skip
        return
    middle = float(np.median(sample(volts[settled])))
    system = System(2 if middle > case.terms["voltage_of_24"] else 1)
    yield _judge(case, volts, settled, middle, system)


def _judge(
    case: Case, volts: Floats, settled: Mask, middle: float, system: System
) -> Finding:  # fmt: skip
    log, hold = case.log, case.terms["voltage_time"]
    whole = log.total(settled)
    high = log.spans(settled & (volts > system.of(case, "voltage_most")), at_least=hold)
    none = system.of(case, "charging_none")
    dead = whole >= case.terms["charging_shown"] and not log.spans(
        settled & (volts >= none), at_least=min(hold, whole)
    )
    dips = log.spans(settled & (volts < system.of(case, "voltage_dip")), at_least=0.0)
    low, top = system.of(case, "charging_low"), system.of(case, "charging_high")
    under = log.total(settled & (volts < low))
    numbers: dict[str, Quantity | str] = {
        "middle": _volts(middle), "least": _volts(float(volts[settled].min())),
        "most": _volts(float(volts[settled].max())), "low": _volts(low), "top": _volts(top),
        "none": _volts(none), "limit": _volts(system.of(case, "voltage_most")),
        "share": fraction(under / whole if whole else 0.0),
        "length": seconds(sum(span.length for span in high)),
        "system": "24 V system. " if system.times == 2 else "",
    }  # fmt: skip
    if high or (dead and not is_dead_flat(case, volts)):
        return _broken(case, numbers, high, volts)
    text = "{system}{middle} in the middle, {least} to {most}; {low} to {top} is usual."
    advice = []
    if dips:
        text += f" {len(dips)} dip{'s' if len(dips) > 1 else ''} under {{dip}}."
        numbers["dip"] = _volts(system.of(case, "voltage_dip"))
        advice.append("Look at battery, earth straps and plugs.")
    if middle < low:
        advice.append("Measure at the battery, running: under {low} with lights on is too little.")
    elif middle > top:
        advice.append("Measure at the battery, running: over {top} warm is too much.")
    answer = Answer.KEPT
    if not case.shows(volts) or whole < hold:
        answer = Answer.TOO_LITTLE
        advice.append("Log voltage for the whole drive.")
    limit = case.terms.limits["charging_low"]
    events = tuple(
        Event(s, Said("{least}", {"least": _volts(float(np.nanmin(log.during(s, volts))))}))
        for s in dips
    )
    return found(
        case, CHECK, TITLE, (CHANNEL,), answer, Said(text, numbers), limit, events=events,
        do_next=Said(" ".join(advice), numbers) if advice else None,
    )  # fmt: skip


def is_dead_flat(case: Case, volts: Floats) -> bool:
    """Whether the channel never moves at all: then it proves no dead alternator."""
    return is_stuck(volts, np.ones(len(volts), dtype=bool)) and case.log.total(case.running) > 0


def _broken(
    case: Case, numbers: dict[str, Quantity | str], high: list[Span], volts: Floats
) -> Finding:
    if high:
        events = tuple(
            Event(s, Said("{most}", {"most": _volts(float(np.nanmax(case.log.during(s, volts))))}))
            for s in high
        )
        said = Said("{system}Up to {most}: over {limit} for {length}.", numbers)
        advice, name = (
            "Stop before something burns: regulator and its sensing wire.",
            "voltage_most",
        )
    else:
        events = ()
        said = Said("{system}Never {none} for long: {middle} in the middle. It does not charge.",
                    numbers)  # fmt: skip
        advice, name = "Belt, plug and main fuse of the alternator before the next drive.", (
            "charging_none")  # fmt: skip
    return found(
        case, CHECK, TITLE, (CHANNEL,), Answer.BROKEN, said, case.terms.limits[name],
        do_next=Said(advice), events=events,
    )  # fmt: skip


def _volts(value: float) -> Quantity:
    return Quantity(value, Kind.VOLTAGE)
