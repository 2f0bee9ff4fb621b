"""A plan as a file: frozen with its own hash, thawed only if nothing in it has changed."""

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from witnessmark.errors import UserError
from witnessmark.jobs.book import DEFAULT_OWNER, Book, open_book
from witnessmark.jobs.text_file import read_text
from witnessmark.model.plan import RunPlan

FORMAT = "witnessmark plan 1"
_PLAN = TypeAdapter(RunPlan)


def freeze(plan: RunPlan) -> dict[str, Any]:
    """The plan as JSON values, with its own SHA-256 beside it. Numbers in SI."""
    body = _PLAN.dump_python(plan, mode="json")
    return {"format": FORMAT, "sha256": plan_hash(body), "plan": body}


def thaw(frozen: Mapping[str, Any], where: str = "plan") -> RunPlan:
    """The plan of a frozen one.

    Raises UserError if it is no frozen plan, or if anything in it was changed since.
    """
    if not isinstance(frozen, Mapping) or frozen.get("format") != FORMAT:
        raise UserError(
            where, "this is not a frozen plan", f"a file made as '{FORMAT}' is wanted",
            "Make the plan again from the build sheet",
        )  # fmt: skip
    body = frozen.get("plan")
    if set(frozen) != {"format", "sha256", "plan"} or plan_hash(body) != frozen.get("sha256"):
        raise UserError(
            where, "it was changed after it was made", "its hash no longer matches its content",
            "Use the file as it was made, or make the plan again from the build sheet",
        )  # fmt: skip
    try:
        plan = _PLAN.validate_python(body)
    except ValidationError as error:
        raise _not_whole(where, f"{error.error_count()} places") from None
    except KeyError as error:  # a sentence without the number it speaks of
        raise _not_whole(where, str(error.args[0])) from None
    missing = sorted(open_book().shared.judging.judging.keys() - plan.limits.keys())
    if missing:
        raise _not_whole(where, "no " + ", ".join(missing))
    return plan


def _not_whole(where: str, what: str) -> UserError:
    return UserError(
        where, f"it does not hold a whole plan ({what})",
        "a plan made by this version is wanted", "Make the plan again from the build sheet",
    )  # fmt: skip


def parse_plan(text: str, where: str) -> RunPlan:
    """The plan in the text of a frozen one. Raises UserError as `thaw` does, or if not JSON."""
    try:
        data = json.loads(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError):
        raise UserError(
            where, "this cannot be read as JSON", "a frozen plan is wanted",
            "Take the file as it was saved, or make the plan again from the build sheet",
        ) from None  # fmt: skip
    return thaw(data, where)


def load_plan(path: Path) -> RunPlan:
    """The plan in a file. Raises UserError as `parse_plan` does, or if it cannot be read."""
    return parse_plan(read_text(path, "a frozen plan (plan.json)"), path.name)


def plan_hash(body: object) -> str:
    """SHA-256 of a plan's JSON values in one fixed order, as hexadecimal."""
    text = json.dumps(body, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(f"{FORMAT}\n{text}".encode("utf-8", "surrogatepass")).hexdigest()


def drift(plan: RunPlan, book: Book) -> str | None:
    """What differs between the recipe in the plan and the one in the book now; None if nothing.

    The plan stays as it is: its engine keeps the recipe it was given.
    """
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
