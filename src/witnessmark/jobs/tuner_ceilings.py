"""Ceilings the tuner set, put into a plan: never past what was built, both numbers kept."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from witnessmark.errors import UserError
from witnessmark.jobs.recipe_plan import highest_asked
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.answer_file import AnswerFile
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.build import BuildSheet
from witnessmark.model.plan import Limit, Line, Phase, RunPlan
from witnessmark.model.said import Said
from witnessmark.model.tuner_answer import NewCeiling, TunerAnswer
from witnessmark.units import Kind, Quantity, show

SPEED = "engine_speed"
_ABOUT = {"boost": "manifold_pressure"}  # a ceiling that bears another name than its channel
_SHOWN = 12
Checked = tuple[tuple[NewCeiling, ...], list[UserError]]


def checked(plan: RunPlan, answer: AnswerFile, sheet: BuildSheet | None, where: str) -> Checked:
    """What an answer sets beside what it replaces, and everything that is wrong with it."""
    if sheet is not None and sheet.sha256 != plan.build_sha256:
        wrong = UserError(
            f"build sheet {sheet.identity.serial}", "it is not the one the plan was made from",
            f"the build sheet of the plan (engine {plan.serial}) as it was then is wanted",
            "Give that one, or none",
        )  # fmt: skip
        return (), [wrong]
    known = {phase.id: phase for phase in plan.phases}
    made, faults = [], []
    for name, given in answer.new_ceilings().items():
        spot = f"{where}, ceilings, {name}"
        if name not in known:
            faults.append(
                UserError(
                    spot, f"'{name[:80]}' is no phase of this plan", f"one of {', '.join(known)}",
                    "Correct the name of the phase",
                )
            )  # fmt: skip
            continue
        for ceiling, value in given.items():
            before = known[name].ceilings.get(ceiling)
            faults.extend(_beyond(plan, sheet, ceiling, value, spot))
            made.append(
                NewCeiling(
                    name, ceiling, value, before.value if before else None,
                    before.authority if before else None,
                )
            )  # fmt: skip
    return tuple(made), faults


def _beyond(
    plan: RunPlan, sheet: BuildSheet | None, name: str, value: Quantity, spot: str
) -> Iterator[UserError]:
    """What no tuner may allow: more than the engine was built for, or more than can be true."""
    if name == SPEED:
        yield from _over_redline(plan, sheet, value, spot)
        return
    entry = vocabulary().entries.get(_ABOUT.get(name, name))
    if entry is not None and not value.value <= entry.channel.high:
        most = Quantity(entry.channel.high, value.kind)
        yield UserError(
            f"{spot}, {name}", f"{show(value, plan.prefer)} is more than such a sensor can show",
            f"a ceiling up to {show(most, plan.prefer)} is wanted", "Correct number or unit",
        )  # fmt: skip


def _over_redline(
    plan: RunPlan, sheet: BuildSheet | None, value: Quantity, spot: str
) -> Iterator[UserError]:
    redline = sheet.layout.redline if sheet else plan.redline.value.value if plan.redline else None
    if redline is not None:
        if not value.value <= redline * (1 + 1e-9):
            top = show(Quantity(redline, value.kind), plan.prefer)
            yield UserError(
                f"{spot}, {SPEED}", f"{show(value, plan.prefer)} is over the engine's redline",
                f"the build sheet's redline is {top}; no answer lifts it",
                "Lower it; a higher redline is for the builder to sign on a new build sheet",
            )  # fmt: skip
        return
    most = max(p.ceilings[SPEED].value.value for p in plan.phases if SPEED in p.ceilings)
    if not value.value <= most * (1 + 1e-9):
        top = show(Quantity(most, value.kind), plan.prefer)
        yield UserError(
            f"{spot}, {SPEED}", f"{show(value, plan.prefer)} is over every ceiling of this plan",
            f"its highest is {top}, and it was frozen before plans kept the redline",
            "Give the build sheet too: --build FILE",
        )  # fmt: skip


def with_ceilings(plan: RunPlan, answer: TunerAnswer, sheet: BuildSheet | None) -> RunPlan:
    """The plan with an answer's ceilings in place, and every sentence that names them."""
    if not answer.ceilings:
        return plan
    who = authority_of(answer)
    changed = {c.phase for c in answer.ceilings}
    phases = tuple(
        _phase(plan, p, answer, who) if p.id in changed else p for p in plan.phases
    )  # fmt: skip
    made = replace(plan, phases=phases)
    films = _films(made, sheet, who)
    return replace(
        made,
        phases=tuple(
            replace(p, film=films.get(p.id, p.film)) if p.id in changed and p.film else p
            for p in made.phases
        ),
    )


def authority_of(answer: TunerAnswer) -> Authority:
    """The tuner as the one who set a ceiling, with the answer he set it in."""
    log = f", log {answer.log_sha256[:_SHOWN]}" if answer.log_sha256 else ""
    cite = f"of {answer.signed_on} to plan {answer.plan_sha256[:_SHOWN]}{log}"
    return Authority(answer.signed_by, SourceKind.TUNER, cite)


def _films(plan: RunPlan, sheet: BuildSheet | None, who: Authority) -> Mapping[str, Line]:
    if sheet is not None:
        # Orbits and their tables take a second to load: only an answer with a sheet waits.
        from witnessmark.jobs.film import ceiling_films  # noqa: PLC0415

        return ceiling_films(sheet, plan)
    said = Said("Oil film at the tuner's ceilings: not worked out, the build sheet was not given.")
    line = Line(said, "The plan's own film was that of its former ceilings.", who)
    return {phase.id: line for phase in plan.phases}


def _phase(plan: RunPlan, phase: Phase, answer: TunerAnswer, who: Authority) -> Phase:
    new = {c.name: c for c in answer.ceilings if c.phase == phase.id}
    ceilings = dict(phase.ceilings)
    for name, ceiling in new.items():
        old = ceilings.get(name)
        low, high = (old.low, old.high) if old else (None, None)
        ceilings[name] = Limit(ceiling.value, low, high, _why(ceiling), who)
    names = {name.replace("_", " ") for name in new}
    kept = tuple(c for c in phase.cautions if not _told_before(c, names))
    reworded = replace(
        phase, ceilings=ceilings, gates=_lines(phase.gates, new), then=_lines(phase.then, new),
        cautions=_lines(kept, new),
        steps=tuple(replace(s, line=_line(s.line, new)) for s in phase.steps),
    )  # fmt: skip
    more = (*_raised(plan, reworded, new, who), *_under_steps(reworded, new, who))
    return replace(reworded, cautions=(*reworded.cautions, *more))


def _why(ceiling: NewCeiling) -> str:
    if ceiling.before is None:
        return "The tuner's decision; the plan had no such ceiling here."
    if ceiling.value == ceiling.before:
        return "The tuner's decision, the same as before."
    way = "higher" if ceiling.raised else "lower"
    return f"The tuner's decision, {way} than before; what it was stands under his answers."


def _told_before(line: Line, names: set[str]) -> bool:
    """Whether a caution is one of ours about a ceiling that is being set anew."""
    return line.authority.source is SourceKind.TUNER and line.said.values.get("what") in names


def _lines(lines: tuple[Line, ...], new: Mapping[str, NewCeiling]) -> tuple[Line, ...]:
    return tuple(_line(line, new) for line in lines)


def _line(line: Line, new: Mapping[str, NewCeiling]) -> Line:
    """A sentence with the new numbers where it named the old ones."""
    old = line.said.values
    values = {
        slot: new[slot].value if slot in new and value == new[slot].before else value
        for slot, value in old.items()
    }
    speed = new.get(SPEED)
    if speed is not None and speed.before is not None and values != old:
        share = speed.value.value / speed.before.value  # road speed follows engine speed
        values = {
            slot: Quantity(value.value * share, value.kind)
            if isinstance(value, Quantity) and value.kind is Kind.ROAD_SPEED else value
            for slot, value in values.items()
        }  # fmt: skip
    return replace(line, said=Said(line.said.text, values)) if values != old else line


def _raised(
    plan: RunPlan, phase: Phase, new: Mapping[str, NewCeiling], who: Authority
) -> Iterator[Line]:
    """One caution for each ceiling above the one the plan began with, with both numbers."""
    for name, ceiling in new.items():
        first = _first(plan, phase.id, ceiling)
        if first.before is not None and ceiling.value.value > first.before.value:
            values: dict[str, Quantity | str] = {
                "what": name.replace("_", " "), "new": ceiling.value, "old": first.before,
                "who": str(first.before_by),
            }  # fmt: skip
            text = "The tuner allows {what} up to {new}; the plan had {old} ({who})."
            why = "A ceiling above the recipe's is his decision alone, under his name."
            yield Line(Said(text, values), why, who)


def _first(plan: RunPlan, phase: str, ceiling: NewCeiling) -> NewCeiling:
    """The first time this ceiling was replaced: what stood before is the recipe's."""
    earlier = (c for a in plan.answers for c in a.ceilings)
    return next((c for c in earlier if (c.phase, c.name) == (phase, ceiling.name)), ceiling)


def _under_steps(phase: Phase, new: Mapping[str, NewCeiling], who: Authority) -> Iterator[Line]:
    """A caution where the steps of the phase ask for more than its new ceiling allows."""
    asked = highest_asked((phase,))
    speed = new.get(SPEED)
    if speed is not None and asked is not None and asked.value.value > speed.value.value:
        text = (
            "The tuner's ceiling for {what} is {new}. Steps here ask for up to {asked}: "
            "stay under his ceiling."
        )
        values: dict[str, Quantity | str] = {
            "what": SPEED.replace("_", " "), "new": speed.value, "asked": asked.value,
        }  # fmt: skip
        yield Line(Said(text, values), "The lower number holds.", who)
