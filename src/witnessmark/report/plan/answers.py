"""What the tuner answered, as the plan's readers see it."""

from dataclasses import dataclass

from witnessmark.model.plan import RunPlan
from witnessmark.model.tuner_answer import Decision, NewCeiling, TunerAnswer
from witnessmark.report.words import plain, printable, short, title
from witnessmark.units import Preferences, show

_SAYS = {
    Decision.CONTINUE: "Continue with the same map",
    Decision.NEW_MAP: "Continue with a new map",
    Decision.REPEAT: "Repeat the log; the plan stays as it is",
    Decision.STOP: "STOP: do not start this engine until the tuner says so",
}


@dataclass(frozen=True)
class NewCeilingView:
    """A ceiling the tuner set, and what stood there before."""

    phase: str
    name: str
    now: str
    before: str
    way: str  # "higher than before", "lower than before", ...


@dataclass(frozen=True)
class AnswerView:
    """One answer."""

    number: int
    stop: bool
    says: str
    words: str
    signed: str
    about: str
    map: str
    ceilings: tuple[NewCeilingView, ...]


def answer_views(plan: RunPlan, prefer: Preferences) -> tuple[AnswerView, ...]:
    """The plan's answers, the last one first: it is the one that holds."""
    made = [_view(n, answer, plan, prefer) for n, answer in enumerate(plan.answers, 1)]
    return tuple(printable(view) for view in reversed(made))


def _view(number: int, answer: TunerAnswer, plan: RunPlan, prefer: Preferences) -> AnswerView:
    log = f", log {short(answer.log_sha256)}" if answer.log_sha256 else ""
    packet = f", packet {answer.packet}" if answer.packet else ""
    return AnswerView(
        number=number,
        stop=answer.decision is Decision.STOP,
        says=_SAYS[answer.decision],
        words=answer.words,
        signed=f"{answer.signed_by}, {answer.signed_on}",
        about=f"plan {short(answer.plan_sha256)}{log}{packet}",
        map=_map(answer),
        ceilings=tuple(_ceiling(c, plan, prefer) for c in answer.ceilings),
    )


def _map(answer: TunerAnswer) -> str:
    named = answer.map
    if named is None:
        return ""
    sums = [f"SHA-256 {named.sha256}"] if named.sha256 else []
    sums += [f"CRC32 {named.crc32}"] if named.crc32 else []
    return f"{named.name}: {', '.join(sums)}"


def _ceiling(c: NewCeiling, plan: RunPlan, prefer: Preferences) -> NewCeilingView:
    phase = next((p.title for p in plan.phases if p.id == c.phase), c.phase)
    if c.before is None:
        before, way = "none", "a ceiling where there was none"
    else:
        before = f"{show(c.before, prefer)} ({c.before_by})"
        way = "as before" if c.value == c.before else "higher" if c.raised else "lower"
        way += " than before" if way != "as before" else ""
    return NewCeilingView(phase, title(plain(c.name)), show(c.value, prefer), before, way)
