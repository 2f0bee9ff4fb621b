"""Apply a recipe to a build sheet: everything of a plan but what has to be worked out."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from witnessmark.checks.sheet.build import contradictions
from witnessmark.checks.sheet.build_relations import own
from witnessmark.errors import UserError, UserErrors
from witnessmark.jobs.book import Book, open_book
from witnessmark.jobs.choose import choose
from witnessmark.jobs.filling import Filling
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.build import BuildSheet
from witnessmark.model.build_rules import BuildRules, default_rules
from witnessmark.model.plan import (
    Abort,
    Doing,
    EngineFacts,
    Inspection,
    Limit,
    Line,
    Phase,
    RunPlan,
    Service,
    Step,
)
from witnessmark.model.recipe import (
    SPEEDS,
    AbortFile,
    InspectionFile,
    PhaseFile,
    RecipeFile,
    ServiceFile,
    StepFile,
)  # fmt: skip
from witnessmark.model.said import Said
from witnessmark.model.shared_lists import CautionFile, Cautions, Shared
from witnessmark.physics.gearing import engine_speed, road_speed
from witnessmark.units import Kind, Quantity, show

NOT_ASKED = "nobody asked for the pressure of this build"
Item = TypeVar("Item", InspectionFile, AbortFile)


def recipe_plan(
    sheet: BuildSheet,
    recipe: str | Path | None = None,
    *,
    school: str | None = None,
    book: Book | None = None,
    rules: BuildRules | None = None,
) -> RunPlan:
    """The run-in plan of one engine as its recipe gives it, without pressures and oil films.

    `recipe` is an id of the book or the path of a shop's own file; `school` is "gentle first"
    or "load early". Both may be left to the build sheet. Raises UserErrors naming every
    contradiction: in the build sheet, and between it and the recipe.
    """
    book = book or open_book()
    chosen = choose(sheet, book, recipe, school)
    file, shared = chosen.recipe.file, book.shared
    fill = Filling(sheet, chosen.recipe.where, file.owner)
    judging = _judging(fill, file, shared)
    fill = fill.beside(judging)
    phases = tuple(_phase(fill, phase, shared.cautions) for phase in file.phases)
    plan = RunPlan(
        serial=sheet.identity.serial, engine=sheet.describe(), build_sha256=sheet.sha256,
        choice=chosen.choice, fuel=fill.lines(file.fuel), oil=fill.lines(file.oil),
        inspections=tuple(_inspections(fill, file, shared)), prime=fill.lines(file.prime),
        aborts=tuple(_aborts(fill, file, shared)), phases=phases,
        services=tuple(_service(fill, s) for s in file.services if fill.applies(s.when)),
        limits=judging, band=None, no_band=NOT_ASKED, prefer=sheet.prefer,
        assumptions=sheet.assumptions,
        cautions=tuple(_cautions(fill, shared.cautions, None)), redline=_redline(sheet),
        facts=EngineFacts(
            sheet.fuel.kind, sheet.fuel.ethanol, sheet.boosted, sheet.layout.cylinders,
            _turns_per_metre(sheet),
        ),
    )  # fmt: skip
    faults = [*_contradictions(sheet, rules or default_rules(), phases), *fill.faults]
    if faults:
        raise UserErrors(faults)
    return plan


def highest_asked(phases: tuple[Phase, ...]) -> Limit | None:
    """The highest engine speed any hold, sweep or pull asks for; None if none asks for one."""
    asked = [limit for phase in phases for step in phase.steps for limit in _speeds(step).values()]
    return max(asked, key=lambda limit: limit.value.value, default=None)


def _contradictions(
    sheet: BuildSheet, rules: BuildRules, phases: tuple[Phase, ...]
) -> Iterator[UserError]:
    where = f"build sheet {sheet.identity.serial}"
    for line in contradictions(sheet, rules, highest_asked(phases)):
        found = line.said.read(sheet.prefer)
        yield UserError(
            where, found.rstrip("."), f"{line.why.rstrip('.')} ({line.authority})",
            "Put the build sheet or the engine right",
        )  # fmt: skip


def _judging(fill: Filling, file: RecipeFile, shared: Shared) -> dict[str, Limit]:
    """The numbers a log is judged by: the shared ones, the recipe's own in their place."""
    theirs = fill.of(shared.judging.owner, "judging.toml").limits(shared.judging.judging)
    return theirs | fill.limits(file.judging)


# A phase


def _phase(fill: Filling, phase: PhaseFile, cautions: Cautions) -> Phase:
    redline = fill.sheet.layout.redline
    ceilings = {
        name: _under_redline(limit, redline) if name == "engine_speed" else limit
        for name, limit in fill.table(phase.ceilings).items()
    }
    evidence = fill.table(phase.evidence)
    inside = fill.beside(ceilings | evidence)
    steps = tuple(_step(inside, step) for step in phase.steps if fill.applies(step.when))
    fill.faults.extend(_over_own_ceiling(fill, phase, steps, ceilings.get("engine_speed")))
    marks = _road_speeds(fill.sheet, ceilings) if phase.place == "on the road" else ()
    doing = {step.doing for step in steps}
    return Phase(
        id=phase.id, title=phase.title, place=phase.place,
        gates=(*inside.lines(phase.gates), *marks), steps=steps, ceilings=ceilings,
        evidence=evidence,
        needs=tuple(need.channel for need in phase.needs if fill.applies(need.when)),
        then=inside.lines(phase.then),
        cautions=tuple(_cautions(fill, cautions, (phase.place, doing))), reviewed=phase.reviewed,
    )  # fmt: skip


def _step(fill: Filling, step: StepFile) -> Step:
    numbers = fill.table(step.numbers)
    said = fill.beside(numbers).said(step.said, step.why, step.authority(fill.owner), {})
    return Step(step.doing, said, numbers)


def _speeds(step: Step) -> dict[str, Limit]:
    return {name: limit for name, limit in step.numbers.items() if name in SPEEDS}


def _redline(sheet: BuildSheet) -> Limit:
    """The engine's own redline, kept in the plan for whoever sets a ceiling later."""
    value = Quantity(sheet.layout.redline, Kind.ROTATIONAL_SPEED)
    why = "What this engine was built for; no ceiling may lie above it."
    return Limit(value, None, None, why, own(sheet))


def _under_redline(limit: Limit, redline: float) -> Limit:
    """No ceiling lies above the engine's own redline."""
    if limit.value.value <= redline:
        return limit
    top = Quantity(redline, Kind.ROTATIONAL_SPEED)
    authority = replace(limit.authority, cite=_join(limit.authority.cite, "held to the redline"))
    return replace(limit, value=top, high=top, authority=authority)


def _over_own_ceiling(
    fill: Filling, phase: PhaseFile, steps: tuple[Step, ...], ceiling: Limit | None
) -> Iterator[UserError]:
    """A step may not ask for more than its phase allows on this engine."""
    for step in steps:
        for limit in _speeds(step).values():
            if ceiling is not None and limit.value.value > ceiling.value.value * (1 + 1e-9):
                shown = [show(q, fill.sheet.prefer) for q in (limit.value, ceiling.value)]
                yield UserError(
                    f"{fill.where}, phase {phase.id}", f"a step asks for {shown[0]}",
                    f"on this engine the ceiling there is {shown[1]}",
                    "Lower the step in a recipe of your own, or name another recipe",
                )  # fmt: skip


def _turns_per_metre(sheet: BuildSheet) -> tuple[float, ...]:
    """Engine turns for each metre of road, gear by gear; none if the sheet does not say. [1/m]"""
    gearing = sheet.gearing
    if gearing is None or gearing.diameter is None:
        return ()
    final, diameter = gearing.final_drive, gearing.diameter
    return tuple(engine_speed(1.0, ratio * final, diameter) for ratio in gearing.gears)


def _road_speeds(sheet: BuildSheet, ceilings: Mapping[str, Limit]) -> tuple[Line, ...]:
    """The road speed in each gear at the phase's engine speed ceiling."""
    gearing, ceiling = sheet.gearing, ceilings.get("engine_speed")
    if gearing is None or gearing.diameter is None or ceiling is None:
        return ()
    values: dict[str, Quantity | str] = {"engine_speed": ceiling.value}
    words = []
    for number, ratio in enumerate(gearing.gears, start=1):
        speed = road_speed(ceiling.value.value, ratio * gearing.final_drive, gearing.diameter)
        values[f"gear_{number}"] = Quantity(float(speed), Kind.ROAD_SPEED)
        words.append(f"{{gear_{number}}} in {_ordinal(number)}")
    text = "Know your marks: {engine_speed} is " + ", ".join(words) + "."
    why = "The rev counter is small and the road is not; a loaded tyre makes it a little slower."
    cite = "gears, final drive and free tyre of the build sheet, no slip"
    authority = Authority(own(sheet).owner, SourceKind.DERIVED, cite)
    return (Line(Said(text, values), why, authority),)


def _ordinal(number: int) -> str:
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number, 'th') }"


# Lists


def _service(fill: Filling, service: ServiceFile) -> Service:
    due = fill.limits(service.limits())
    inside = fill.beside(due)
    return Service(
        service.title, inside.line(service), due.get("distance"), due.get("running_time"),
        due.get("calendar_time"),
    )  # fmt: skip


def _inspections(fill: Filling, file: RecipeFile, shared: Shared) -> Iterator[Inspection]:
    theirs = fill.of(shared.inspections.owner, "inspections.toml")
    for item, filler in _merged(shared.inspections.inspections, file.inspections, theirs, fill):
        if fill.applies(item.when):
            yield Inspection(
                item.id, item.place, filler.line(item), item.if_wrong, item.hard_stop, item.by
            )


def _aborts(fill: Filling, file: RecipeFile, shared: Shared) -> Iterator[Abort]:
    theirs = fill.of(shared.aborts.owner, "aborts.toml")
    for item, filler in _merged(shared.aborts.aborts, file.aborts, theirs, fill):
        if fill.applies(item.when):
            yield Abort(item.id, filler.line(item), item.then)


def _merged(
    shared: tuple[Item, ...], own_items: tuple[Item, ...], theirs: Filling, ours: Filling
) -> Iterator[tuple[Item, Filling]]:
    """The shared list with the recipe's own items in place of those of the same id, then more."""
    mine = {item.id: item for item in own_items}
    for item in shared:
        yield (mine.pop(item.id), ours) if item.id in mine else (item, theirs)
    for item in mine.values():
        yield item, ours


def _cautions(
    fill: Filling, cautions: Cautions, at: tuple[str, set[Doing]] | None
) -> Iterator[Line]:
    theirs = fill.of(cautions.owner, "cautions.toml")
    for caution in cautions.cautions:
        if fill.applies(caution.when) and _shown(caution, at):
            yield theirs.line(caution)


def _shown(caution: CautionFile, at: tuple[str, set[Doing]] | None) -> bool:
    everywhere = not caution.places and not caution.doing
    if at is None or everywhere:
        return at is None and everywhere
    place, doing = at
    right_place = not caution.places or place in caution.places
    return right_place and (not caution.doing or not doing.isdisjoint(caution.doing))


def _join(first: str, second: str) -> str:
    return f"{first}; {second}" if first else second
