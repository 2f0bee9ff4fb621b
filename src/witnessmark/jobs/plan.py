"""Make the run-in plan of one engine: its recipe, its oil pressures, its oil films."""

from dataclasses import replace
from pathlib import Path

from witnessmark.errors import UserError
from witnessmark.jobs.band import Known, make_table
from witnessmark.jobs.book import Book
from witnessmark.jobs.pressure_lines import with_own_pressures
from witnessmark.jobs.recipe_plan import recipe_plan
from witnessmark.model.build import BuildSheet
from witnessmark.model.build_rules import BuildRules
from witnessmark.model.plan import RunPlan


def make_plan(
    sheet: BuildSheet,
    recipe: str | Path | None = None,
    *,
    school: str | None = None,
    book: Book | None = None,
    rules: BuildRules | None = None,
    known: Known | None = None,
    films: bool = True,
) -> RunPlan:
    """The run-in plan of one engine.

    `recipe` is an id of the book or the path of a shop's own file; `school` is "gentle first"
    or "load early". Both may be left to the build sheet. `known` is what the engine's own logs
    have taught; `films` False leaves out the oil film at each ceiling, which no verdict needs.
    A build whose pressure cannot be foretold still gets its plan, which says why. Raises
    UserErrors naming every contradiction: in the build sheet, and between it and the recipe.
    """
    plan = recipe_plan(sheet, recipe, school=school, book=book, rules=rules)
    plan = with_own_pressures(with_band(plan, sheet, known))
    return _with_films(plan, sheet) if films else plan


def with_band(plan: RunPlan, sheet: BuildSheet, known: Known | None = None) -> RunPlan:
    """The plan with the pressure band of its build, or with the reason why there is none.

    Raises UserError if the build sheet is not the one the plan was made from.
    """
    if sheet.sha256 != plan.build_sha256:
        raise UserError(
            f"build sheet {sheet.identity.serial}", "it is not the one the plan was made from",
            f"the build sheet of the plan (engine {plan.serial}) as it was then is wanted",
            "Make the plan again from this build sheet",
        )  # fmt: skip
    try:
        return replace(plan, band=make_table(sheet, known), no_band="")
    except UserError as error:
        return replace(plan, band=None, no_band="; ".join(f.told for f in error.faults))


def _with_films(plan: RunPlan, sheet: BuildSheet) -> RunPlan:
    # Orbits and their tables take a second to load: only a plan that is to be read waits.
    from witnessmark.jobs.film import ceiling_films  # noqa: PLC0415

    lines = ceiling_films(sheet, plan)
    return replace(plan, phases=tuple(replace(p, film=lines.get(p.id)) for p in plan.phases))
