"""A plan as a file: frozen with its own hash, thawed only if nothing in it has changed."""

from collections.abc import Mapping
from dataclasses import MISSING, fields, replace
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from witnessmark.jobs.book import DEFAULT_OWNER, Book, open_book
from witnessmark.jobs.lubrication_book import lubrication_hash
from witnessmark.jobs.sealed import Seal
from witnessmark.model.plan import Limit, RunPlan

SEAL = Seal(
    "witnessmark plan 1", "plan", "a frozen plan", "Make the plan again from the build sheet",
    newer="witnessmark plan 2",
)  # fmt: skip
_PLAN = TypeAdapter(RunPlan)


def freeze(plan: RunPlan) -> dict[str, Any]:
    """The plan as JSON values, with its own SHA-256 beside it. Numbers in SI.

    A plan with a tuner's answer is of the second format: a program that knows no answers would
    pass over his "stop".
    """
    body = _PLAN.dump_python(plan, mode="json")
    for later in fields(plan):  # a plan frozen before such a part was kept keeps its hash
        if later.default is not MISSING and getattr(plan, later.name) == later.default:
            del body[later.name]
    return SEAL.closed(body, newer=bool(plan.answers))


def thaw(frozen: Mapping[str, Any], where: str = "plan") -> RunPlan:
    """The plan of a frozen one.

    Raises UserError if it is no frozen plan, or if anything in it was changed since.
    """
    return _plan(SEAL.opened(frozen, where), where)


def parse_plan(text: str, where: str) -> RunPlan:
    """The plan in the text of a frozen one. Raises UserError as `thaw` does, or if not JSON."""
    return _plan(SEAL.parsed(text, where), where)


def load_plan(path: Path) -> RunPlan:
    """The plan in a file. Raises UserError as `parse_plan` does, or if it cannot be read."""
    return _plan(SEAL.loaded(path, "a frozen plan (plan.json)"), path.name)


def plan_hash(body: object) -> str:
    """SHA-256 of a plan's JSON values in one fixed order, as hexadecimal."""
    return SEAL.hash(body)


def _plan(body: Any, where: str) -> RunPlan:
    try:
        plan = _PLAN.validate_python(body)
    except ValidationError as error:
        raise SEAL.not_whole(where, f"{error.error_count()} places") from None
    except KeyError as error:  # a sentence without the number it speaks of
        raise SEAL.not_whole(where, str(error.args[0])) from None
    return _with_later_numbers(plan, where)


def _with_later_numbers(plan: RunPlan, where: str) -> RunPlan:
    """The plan with today's value of each judging number the book learned after it was frozen."""
    judging = open_book().shared.judging
    missing = {name: n for name, n in judging.judging.items() if name not in plan.limits}
    # A number that follows from the build sheet cannot be made without the sheet.
    lost = sorted(name for name, number in missing.items() if number.of)
    if lost:
        raise SEAL.not_whole(where, "no " + ", ".join(lost))
    later = {
        name: Limit(*number.quantities(), number.why, number.authority(judging.owner))
        for name, number in missing.items()
    }
    if not later:
        return plan
    return replace(plan, limits=plan.limits | later, later=(*plan.later, *later))


def drift(plan: RunPlan, book: Book) -> str | None:
    """What differs between what the plan was made with and the book now; None if nothing.

    The plan stays as it is: its engine keeps the recipe and the pressures it was given.
    """
    found = (_recipe_drift(plan, book), _band_drift(plan), _later_told(plan))
    return " ".join(filter(None, found)) or None


def _later_told(plan: RunPlan) -> str | None:
    if not plan.later:
        return None
    some = plan.later[:4]
    more = f" and {len(plan.later) - len(some)} more" if len(plan.later) > len(some) else ""
    return (
        f"This plan is older than {len(plan.later)} of the numbers a log is judged by "
        f"({', '.join(some)}{more}): today's are used for those."
    )


def _band_drift(plan: RunPlan) -> str | None:
    if plan.band is None or plan.band.book_sha256 == lubrication_hash():
        return None
    return (
        "The numbers its oil pressures were worked out with (book/lubrication.toml) have changed "
        f"since. This plan keeps its own pressures ({plan.band.basis})."
    )


def _recipe_drift(plan: RunPlan, book: Book) -> str | None:
    choice = plan.choice
    now = next((r for r in book.recipes if r.file.id == choice.recipe), None)
    kept = f"This plan keeps version {choice.version} ({choice.sha256[:12]})."
    if now is None and choice.owner != DEFAULT_OWNER:
        return (
            f"The recipe {choice.recipe} is {choice.owner}'s own and not in this book, so it was "
            f"not compared. {kept}"
        )
    if now is None:
        return f"The recipe {choice.recipe} is no longer in the book. {kept}"
    if now.sha256 != choice.sha256:
        same = now.file.version == choice.version
        what = "changed without a new version" if same else f"is now version {now.file.version}"
        return (
            f"The recipe {choice.recipe}, or a list it draws on, {what} ({now.sha256[:12]}). {kept}"
        )
    return None
