"""What the checks may believe of a log, and how far a "kept" holds."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from witnessmark.checks.signals.rules import rules
from witnessmark.model.finding import Answer, Finding
from witnessmark.model.log import Log
from witnessmark.model.said import Said
from witnessmark.model.signal import Answered, Flaw, Shown, Signal
from witnessmark.units import Quantity

DO_NEXT = Said("Put the sensor or the logger right, then log the drive again.")


def believed(log: Log, truth: Mapping[str, Signal]) -> Log:
    """The log with its stuck stretches and drop-outs taken for gaps.

    Channels that warn of harm (`always_counts`) are left as they are: a fault that looks like
    harm is looked into, not explained away.
    """
    book, channels = rules(), dict(log.channels)
    for name, signal in truth.items():
        spans = [
            span for flaw in (Flaw.STUCK, Flaw.DROPPED_OUT)
            if (fault := signal.fault(flaw)) is not None for span in fault.spans
        ]  # fmt: skip
        if spans and not book.of(name).always_counts:
            channels[name] = channels[name].copy()
            for span in spans:
                channels[name][log.at(span)] = np.nan
    return replace(log, channels=channels)


def weighed(findings: Iterable[Finding], asked: Sequence[Answered]) -> tuple[Finding, ...]:
    """The findings, with "kept" taken back where the log could not have shown the opposite."""
    behind = {check: answer for answer in asked for check in answer.checks}
    return tuple(_weigh(f, behind[f.check]) if f.check in behind else f for f in findings)


def _weigh(finding: Finding, asked: Answered) -> Finding:
    """A line with what its channels are worth; a limit that was broken stays broken."""
    if finding.answer is Answer.BROKEN or (finding.answer is not Answer.KEPT and not asked.faulty):
        return finding
    if not asked.bars and asked.shown is not Shown.PARTLY:
        return finding
    told = replace(finding, said=_joined(finding.said, asked.said))
    if asked.bars or _within_a_step(finding, asked):
        answer = Answer.TOO_LITTLE if finding.answer is Answer.KEPT else finding.answer
        return replace(told, answer=answer, do_next=finding.do_next or DO_NEXT)
    return told


def _within_a_step(finding: Finding, asked: Answered) -> bool:
    """Whether one step of a coarse channel more would have been over the ceiling."""
    most, ceiling = finding.said.values.get("most"), finding.said.values.get("ceiling")
    if not asked.coarse or not isinstance(most, Quantity) or not isinstance(ceiling, Quantity):
        return False
    return most.value + asked.coarse > ceiling.value


def _joined(first: Said, then: Said) -> Said:
    """Two sentences as one; the slots of the second get names of their own."""
    text = then.text
    for slot in then.values:
        text = text.replace(f"{{{slot}}}", f"{{log.{slot}}}")
    values = {f"log.{slot}": value for slot, value in then.values.items()}
    return Said(f"{first.text} {text}", {**first.values, **values})
