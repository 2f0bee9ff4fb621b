"""The recipe book: what ships with the package, what a shop adds, and one file by path."""

import hashlib
import json
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

from witnessmark.errors import UserError, UserErrors
from witnessmark.jobs.text_file import read_text
from witnessmark.model.faults import read_as
from witnessmark.model.recipe import Part, RecipeFile
from witnessmark.model.shared_lists import (
    Aborts,
    Cautions,
    Inspections,
    Judging,
    Schools,
    Shared,
)  # fmt: skip
from witnessmark.model.whole_recipe import read_recipe

DEFAULT_OWNER = "Witnessmark default"
_SHARED = tuple(Shared.model_fields)
List = TypeVar("List", bound=Part)


@dataclass(frozen=True)
class Recipe:
    """A recipe as read: its file, where it came from, its own text, and its hash.

    `sha256` covers the recipe and every shared list it draws on, without comments and layout.
    """

    file: RecipeFile
    where: str
    text: str
    sha256: str

    @property
    def shipped(self) -> bool:
        """Whether it comes with the package and not from a shop."""
        return self.where.startswith("shipped ")


@dataclass(frozen=True)
class Book:
    """All recipes at hand and the lists they share."""

    recipes: tuple[Recipe, ...]
    shared: Shared

    def find(self, name: str) -> Recipe:
        """The recipe of this id. Raises UserError listing the known ones."""
        for recipe in self.recipes:
            if recipe.file.id == name:
                return recipe
        known = ", ".join(r.file.id for r in self.recipes)
        raise UserError(
            "recipe", f"'{name}' is not in the book", f"known recipes are {known}",
            "Name one of these, or give the path of a recipe file ending in .toml",
        )  # fmt: skip


def open_book(folder: Path | None = None) -> Book:
    """The shipped recipes, and a shop's own from a folder.

    A shop's recipe takes the place of none: its id must be new. Raises UserErrors with every
    fault of every file.
    """
    shipped = _shipped()
    if folder is None:
        return shipped
    if not folder.is_dir():
        raise UserError(
            str(folder), "there is no such folder", "a folder of recipe files is wanted",
            "Correct the path",
        )  # fmt: skip
    own: list[Recipe] = []
    faults: list[UserError] = []
    taken = {recipe.file.id: recipe.where for recipe in shipped.recipes}
    for path in sorted(folder.glob("*.toml")):
        try:
            recipe = load_recipe(path)
        except UserError as error:
            faults += error.faults
            continue
        if recipe.file.id in taken:
            faults.append(_taken(path.name, recipe.file.id, taken[recipe.file.id]))
        taken[recipe.file.id] = path.name
        own.append(recipe)
    if faults:
        raise UserErrors(faults)
    return Book((*shipped.recipes, *own), shipped.shared)


def load_recipe(path: Path) -> Recipe:
    """A recipe from a shop's own file.

    Raises UserErrors with every fault at once, UserError if the file cannot be read.
    """
    recipe = _recipe(read_text(path, "a recipe (TOML)"), path.name)
    for shipped in _shipped().recipes:
        if shipped.file.id == recipe.file.id and shipped.sha256 != recipe.sha256:
            raise _taken(path.name, recipe.file.id, shipped.where)
    return recipe


def check_recipe(path: Path) -> tuple[UserError, ...]:
    """Every fault of a recipe file; none means it can be used."""
    try:
        load_recipe(path)
    except UserError as error:
        return error.faults
    return ()


def copy_recipe(name: str, target: Path, new_id: str, owner: str) -> Path:
    """Copy a shipped recipe into a folder for a shop to edit; returns the new file.

    The copy keeps every comment and gets its own id, owner and title. It works as it is.
    Raises UserError when the id is taken or cannot be one, or the file is already there.
    """
    source = _shipped().find(name)
    text = source.text
    for key, old, new in (
        ("id", source.file.id, new_id), ("owner", source.file.owner, owner),
        ("title", source.file.title, f"{source.file.title} ({owner})"),
        ("version", source.file.version, "1"),
    ):  # fmt: skip
        text = text.replace(f"\n{key} = {_quoted(old)}\n", f"\n{key} = {_quoted(new)}\n", 1)
    head = (
        f"# {owner}: copied from '{name}', version {source.file.version}, "
        f"{source.sha256[:12]}.\n# Numbers you change are yours: say why beside them.\n#\n"
    )
    path = target / f"{new_id}.toml"
    if path.exists():
        raise UserError(
            str(path), "this file is already there", "a copy never overwrites",
            "Choose another id or another folder",
        )  # fmt: skip
    recipe = _recipe(head + text, path.name)
    if any(recipe.file.id == shipped.file.id for shipped in _shipped().recipes):
        raise _taken(path.name, new_id, "the shipped book")
    if owner == DEFAULT_OWNER:
        raise UserError(
            path.name, f"the owner is still '{owner}'", "the shop's own name is wanted",
            "Give the name of whoever answers for the numbers",
        )  # fmt: skip
    target.mkdir(parents=True, exist_ok=True)
    path.write_text(head + text, encoding="utf-8")
    return path


def recipe_hash(data: Mapping[str, Any]) -> str:
    """SHA-256 over a parsed recipe and the shared lists, in one fixed order, as hexadecimal.

    Comments and layout do not count; every word and number does.
    """
    whole = {"recipe": data, "shared": _shared_data()}
    text = json.dumps(whole, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _taken(where: str, name: str, by: str) -> UserError:
    return UserError(
        where, f"the id '{name}' belongs to {by}", "a recipe of your own has an id of its own",
        'Change the line id = "..."',
    )  # fmt: skip


def _recipe(text: str, where: str) -> Recipe:
    data = _toml(text, where)
    file = read_recipe(data, where, tuple(_shared().judging.judging))
    faults = [
        UserError(
            f"{where}, judging {name}", f"kind is '{number.kind}'",
            f"it is judged as '{_shared().judging.judging[name].kind}'", "Correct kind",
        )
        for name, number in file.judging.items()
        if number.kind is not _shared().judging.judging[name].kind
    ]  # fmt: skip
    if faults:
        raise UserErrors(faults)
    return Recipe(file, where, text, recipe_hash(data))


def _toml(text: str, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as error:
        raise UserError(
            where, f"it cannot be read: {error}", "a TOML file is wanted",
            "Mend that place; text stands in straight quotes, one key a line",
        ) from None  # fmt: skip


@cache
def _shared_data() -> dict[str, dict[str, Any]]:
    book = files("witnessmark").joinpath("book")
    return {
        name: _toml(book.joinpath(f"{name}.toml").read_text("utf-8"), f"shipped {name}.toml")
        for name in _SHARED
    }


@cache
def _shared() -> Shared:
    return Shared(
        inspections=_shared_list(Inspections, "inspections"),
        aborts=_shared_list(Aborts, "aborts"),
        cautions=_shared_list(Cautions, "cautions"),
        judging=_shared_list(Judging, "judging"),
        schools=_shared_list(Schools, "schools"),
    )


def _shared_list(model: type[List], name: str) -> List:
    return read_as(model, _shared_data()[name], f"shipped {name}.toml")


@cache
def _shipped() -> Book:
    return Book(tuple(_shipped_recipes()), _shared())


def _shipped_recipes() -> Iterator[Recipe]:
    folder = files("witnessmark").joinpath("book", "recipes")
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        if entry.name.endswith(".toml"):
            yield _recipe(entry.read_text("utf-8"), f"shipped {entry.name}")
