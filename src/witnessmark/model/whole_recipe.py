"""What only shows when a recipe is read as a whole: schools mixed, ids twice, empty slots.

These run on the file as parsed, so that they are named in the same pass as faults of single
values.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from typing import Any

from witnessmark.errors import UserError, UserErrors
from witnessmark.model.faults import place, read_as
from witnessmark.model.recipe import RecipeFile
from witnessmark.model.said import slots

Table = Mapping[str, Any]
_LISTS = ("fuel", "oil", "prime", "services", "inspections", "aborts")


def read_recipe(data: Table, where: str, judging: Collection[str] = ()) -> RecipeFile:
    """Read a parsed recipe file.

    `judging` names the shared judging numbers, which any sentence may use as a slot.
    Raises UserErrors naming every fault of its values and of the whole.
    """
    faults = list(whole_faults(data, where, judging))
    try:
        recipe = read_as(RecipeFile, data, where)
    except UserErrors as error:
        raise UserErrors([*error.faults, *faults]) from None
    if faults:
        raise UserErrors(faults)
    return recipe


def whole_faults(data: Table, where: str, judging: Collection[str] = ()) -> Iterator[UserError]:
    """Every fault that needs more than one line of the file to see."""
    yield from _schools(data, where)
    yield from _twice(data, where)
    yield from _unknown_judging(data, where, judging)
    yield from _empty_slots(data, where, judging)


def _tables(data: object, key: str) -> list[Table]:
    items = data.get(key) if isinstance(data, Mapping) else None
    return [item for item in items if isinstance(item, Mapping)] if isinstance(items, list) else []


def _schools(data: Table, where: str) -> Iterator[UserError]:
    own = data.get("school")
    for i, phase in enumerate(_tables(data, "phases")):
        for j, step in enumerate(_tables(phase, "steps")):
            school = step.get("school", own)
            if school != own:
                yield UserError(
                    f"{where}, {place(('phases', i, 'steps', j), data)}",
                    f"this step is '{school}', the recipe is '{own}'",
                    "the two schools are never mixed in one recipe",
                    "Take the step out, or keep a second recipe for the other school",
                )  # fmt: skip


def _twice(data: Table, where: str) -> Iterator[UserError]:
    for key in ("phases", "inspections", "aborts"):
        ids = Counter(str(item.get("id")) for item in _tables(data, key))
        for name, count in ids.items():
            if count > 1:
                yield UserError(
                    f"{where}, {key}", f"the id '{name}' stands there {count} times",
                    "each id is used once", "Rename one of them",
                )  # fmt: skip


def _unknown_judging(data: Table, where: str, judging: Collection[str]) -> Iterator[UserError]:
    for name in _keys(data, "judging"):
        if name not in judging:
            yield UserError(
                f"{where}, judging", f"'{name}' is not a number any log is judged by",
                f"these are: {', '.join(judging)}", "Correct the spelling or take it out",
            )  # fmt: skip


def _empty_slots(data: Table, where: str, judging: Collection[str]) -> Iterator[UserError]:
    for key in _LISTS:
        for i, item in enumerate(_tables(data, key)):
            yield from _empty((key, i), item, judging, data, where)
    for i, phase in enumerate(_tables(data, "phases")):
        own = [*_keys(phase, "ceilings"), *_keys(phase, "evidence"), *judging]
        for key in ("gates", "steps", "then"):
            for j, item in enumerate(_tables(phase, key)):
                yield from _empty(("phases", i, key, j), item, own, data, where)


def _keys(item: Table, key: str) -> list[str]:
    inner = item.get(key)
    return list(inner) if isinstance(inner, Mapping) else []


def _empty(
    loc: tuple[str | int, ...], item: Table, around: Collection[str], data: Table,
    where: str,
) -> Iterator[UserError]:  # fmt: skip
    limits = ("distance", "running_time", "calendar_time")
    known = [*_keys(item, "numbers"), *(k for k in limits if k in item), *around]
    for key in ("said", "if_wrong"):
        text = item.get(key)
        for slot in slots(text) if isinstance(text, str) else ():
            if "." not in slot and slot not in known:
                yield UserError(
                    f"{where}, {place(loc, data)}", f"{{{slot}}} has no number behind it",
                    f"numbers that can stand here are {_few(known)}",
                    "Add the number, or name a value of the build sheet such as {layout.redline}",
                )  # fmt: skip


def _few(names: list[str]) -> str:
    """The first names; a slip is far likelier in these than in the shared judging numbers."""
    shown = ", ".join(names[:12]) or "none"
    return shown + (", or any judging number" if len(names) > 12 else "")
