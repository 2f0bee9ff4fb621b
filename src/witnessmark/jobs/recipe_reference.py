"""Write the reference of the recipe book: what ships, and how a file is written.

    python -m witnessmark.jobs.recipe_reference docs/reference

Made from the models and the book, so that the page cannot say what the reader does not do.
"""

import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from witnessmark.jobs.book import Book, open_book
from witnessmark.model.number import TRAITS, Entry, Number, Saying
from witnessmark.model.plan import Doing
from witnessmark.model.recipe import (
    AbortFile,
    Applies,
    Ceilings,
    Channel,
    Evidence,
    InspectionFile,
    Need,
    PhaseFile,
    Place,
    RecipeFile,
    ServiceFile,
    StepFile,
    StepNumbers,
)

PAGE = "recipes.md"

_HEAD = """# Recipes

A recipe is a TOML file that says how one sort of engine is run in: data, never code. The plan
keeps the recipe's hash, taken over the file and every shared list it draws on, so that nothing
changes under an engine unseen. To make your own, see
[write your own recipe](../how-to/write-your-own-recipe.md).

This page is made by `python -m witnessmark.jobs.recipe_reference docs/reference`.
"""

_CHOICE = """
## How one is chosen

1. A recipe fits when every trait under `[applies.when]` does. A recipe for a flat tappet cam, or
   for diesel, is for nothing else, so **the cam decides first**: no priority can give a roller
   recipe to a flat tappet cam.
2. Of those that fit, the highest `priority` wins.
3. Where two schools are left, the one asked for is taken (on the command line, or `school` under
   `[use]` on the build sheet). Where nobody asks: **{default}**. {why}
4. A shop's own recipe goes before a shipped one of the same priority.

The plan prints which, why, and what was set aside. A recipe named by id or path, or by `recipe`
under `[use]` on the build sheet, must still fit the engine.
"""

_FORMAT = """
## How a file is written

`{{name}}` in a sentence is filled with a number beside it, a ceiling or wanted evidence of its
phase, or a judging number; `{{table.key}}` with a value of the [build sheet](build-sheet.md).

Two lines may share a file only if their school does: a step with `doing` {works} names its
`school`, and it must be the recipe's.

### Traits a `when` may ask for

| trait | words |
|---|---|
"""

_TABLES: tuple[tuple[str, type[BaseModel]], ...] = (
    ("The whole file", RecipeFile), ("[applies]", Applies),
    ("Every number and every sentence", Entry), ("A number", Number),
    ("A sentence: [[fuel]], [[oil]], [[prime]], [[phases.gates]], [[phases.then]]", Saying),
    ("[[phases]]", PhaseFile), ("[[phases.steps]]", StepFile),
    ("[phases.steps.numbers]", StepNumbers), ("[phases.ceilings]", Ceilings),
    ("[phases.evidence]", Evidence), ("needs", Need), ("[[services]]", ServiceFile),
    ("[[inspections]]", InspectionFile), ("[[aborts]]", AbortFile),
)  # fmt: skip

_MEANING = {
    "id": "Its name: small letters, digits and hyphens. Used once.",
    "title": "What a person calls it.",
    "version": "Raise it when you change the file.",
    "owner": "Who answers for it. Beside a number or sentence: who set that one, if not the owner.",
    "school": "The school of run-in it belongs to.",
    "school_why": "Why this school, for this sort of engine. Printed.",
    "applies": "Which engines it is for.",
    "priority": "The higher goes first among recipes that fit.",
    "why": "The reason. Printed beside it.",
    "when": "Only on builds with these traits. In `[applies.when]`: use, cam_contact and fuel must "
    "be there.",
    "source": "How far to trust it.",
    "cite": "Document and paragraph. Published sources must have it.",
    "value": "The number, in trade units.",
    "range": "What others use, low end first. It holds the value.",
    "of": "A value of the build sheet; value and range are then shares of it.",
    "kind": "What it measures, where its place does not say: " + "in a sentence's own numbers and "
    "under `[judging]`.",
    "said": "The sentence.",
    "numbers": "The numbers in it.",
    "fuel": "Fuel for the run-in.",
    "oil": "Oil for the run-in.",
    "prime": "How it is primed, its proof and the starter's budget.",
    "phases": "The stretches of the run-in, in order.",
    "services": "Oil and filter, each due by whichever limit comes first.",
    "inspections": "More for the pre-start list, or another item by the same id.",
    "aborts": "More reasons to shut off, or another by the same id.",
    "judging": "A number in place of the shared one of this name, below.",
    "place": "Where it is done.",
    "reviewed": "Whether a log of it can be judged.",
    "gates": "What must be true before it begins.",
    "steps": "What is done, in order.",
    "ceilings": "What may not be exceeded.",
    "evidence": "What a log of it must at least show.",
    "needs": "Channels without which it cannot be judged. `load` stands for any measure of load.",
    "then": "What follows. Of an abort: what to do after shutting off.",
    "doing": "What is done.",
    "channel": "A channel of the log.",
    "hard_stop": "Whether nobody may go on without it.",
    "by": "Who does it.",
    "if_wrong": "What to do when it is not so.",
    "distance": "Due after this distance.",
    "running_time": "Due after this much running. In evidence: how long the engine must run.",
    "calendar_time": "Due this long after first fire.",
    "speed": "Engine speed asked for.",
    "time": "How long the whole step takes. Of `crank`: one burst.",
    "from": "Where a sweep or a pull begins.",
    "to": "Where it turns.",
    "step": "One rung of a sweep.",
    "each": "How long one rung is held.",
    "times": "How many times. Of a sweep: up and down counts once.",
    "load": "Throttle or load, as a share of full.",
    "rest": "How long between two.",
    "engine_speed": "Engine speed. Never above the redline of the build sheet.",
    "boost": "Manifold pressure above the air outside.",
    "coolant_temperature": "Coolant temperature.",
    "oil_temperature": "Oil temperature.",
    "oil_pressure": "Oil pressure: higher is too high.",
    "steady_cruise": "Longest spell at one speed and load.",
    "idle_spell": "Longest spell at idle.",
    "lugging": "Longest spell of hard load at low engine speed.",
    "moving_time": "Time on the move.",
    "hold_time": "Time at the speed held.",
    "pulls": "Pulls under load.",
    "overrun_pulls": "Engine-braking pulls on a shut throttle.",
    "load_cells": "Cells of the speed and load map that were driven.",
    "cells_per_minute": "Evenly used cells in a typical minute of driving.",
    "loaded_share": "Share of the driving under load.",
}


def recipe_reference() -> str:
    """The reference page, in Markdown. KeyError if a key of a file has no words."""
    book = open_book()
    schools = book.shared.schools
    works = " or ".join(f"`{doing}`" for doing in (Doing.DRIVE, Doing.LOAD))
    parts = [
        _HEAD, *_shipped(book),
        _CHOICE.format(default=schools.default, why=schools.default_why),
        _FORMAT.format(works=works),
        *(f"| {trait} | {', '.join(words)} |\n" for trait, words in TRAITS.items()),
    ]  # fmt: skip
    for title, model in _TABLES:
        parts += _table(title, model)
    parts += _words()
    parts += _judging(book)
    return "".join(parts)


def _shipped(book: Book) -> Iterator[str]:
    yield "\n## What ships\n\n| recipe | for | school | priority | stretches | oil and filter |\n"
    yield "|---|---|---|---|---|---|\n"
    for recipe in book.recipes:
        file = recipe.file
        oil = ", ".join(service.title for service in file.services if not service.when)
        yield (
            f"| `{file.id}` | {_for(file.applies.when)} | {file.school} "
            f"| {file.applies.priority} | {', '.join(phase.title for phase in file.phases)} "
            f"| {oil} |\n"
        )


def _for(when: Mapping[str, Sequence[str]]) -> str:
    return "; ".join(f"{trait.replace('_', ' ')}: {', '.join(w)}" for trait, w in when.items())


def _table(title: str, model: type[BaseModel]) -> Iterator[str]:
    yield f"\n### {title}\n\n{(model.__doc__ or '').strip()}\n\n"
    yield "| key | needed | meaning |\n|---|---|---|\n"
    base = model.__bases__[0]
    inherited = set(base.model_fields) if model is not base and issubclass(base, Entry) else set()
    for name, info in model.model_fields.items():
        if name not in inherited:
            key = info.alias or name
            needed = "yes" if info.is_required() else "no"
            yield f"| `{key}` | {needed} | {_MEANING[key]}{_choices(info)} |\n"


def _choices(info: FieldInfo) -> str:
    words = [word for word in get_args(info.annotation) if isinstance(word, str)]
    return f" One of {', '.join(f'`{word}`' for word in words)}." if words else ""


def _words() -> Iterator[str]:
    yield "\n### Words\n\n"
    for title, words in (
        ("doing", [doing.value for doing in Doing]), ("place", get_args(Place)),
        ("channel", get_args(Channel)),
    ):  # fmt: skip
        yield f"- `{title}`: {', '.join(f'`{word}`' for word in words)}\n"


def _judging(book: Book) -> Iterator[str]:
    judging = book.shared.judging
    yield f"\n## Judging numbers\n\nOwner: {judging.owner}, unless a recipe sets its own.\n\n"
    yield "| name | value | range | kind | source | why |\n|---|---|---|---|---|---|\n"
    for name, n in judging.judging.items():
        share = f" of {n.of}" if n.of else ""
        cite = f": {n.cite}" if n.cite else ""
        yield (
            f"| `{name}` | {n.value}{share} | {n.range[0]} to {n.range[1]} | {n.kind} "
            f"| {n.source}{cite} | {n.why} |\n"
        )


if __name__ == "__main__":
    (Path(sys.argv[1]) / PAGE).write_text(recipe_reference(), encoding="utf-8")
