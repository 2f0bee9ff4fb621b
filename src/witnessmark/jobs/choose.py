"""Which recipe an engine gets, and why: the cam first, then priority, then the school."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from witnessmark.errors import UserError
from witnessmark.jobs.book import Book, Recipe, load_recipe
from witnessmark.model.build import BuildSheet
from witnessmark.model.number import unmet
from witnessmark.model.plan import Choice

_DECIDING = ("use", "cam_contact", "fuel")
_WORDS = {"use": "{} use", "cam_contact": "{} cam", "rings": "{} rings"}


@dataclass(frozen=True)
class Chosen:
    """A recipe and everything there is to say about the choice."""

    recipe: Recipe
    choice: Choice


def choose(
    sheet: BuildSheet, book: Book, recipe: str | Path | None = None, school: str | None = None
) -> Chosen:
    """The recipe for this engine.

    `recipe` is an id, or the path of a shop's own file; left out, the build sheet's own words
    count (use.recipe, use.school), then the traits of the build. Raises UserError when a named
    recipe does not fit this engine or nothing fits.
    """
    named = recipe if recipe is not None else sheet.use.recipe
    asked = school if school is not None else sheet.use.school
    if named is not None:
        by = "Named by you." if recipe is not None else "Named on the build sheet."
        return _named(sheet, book, named, asked, by)
    return _fitting(sheet, book, asked, "you" if school is not None else "the build sheet")


def _named(sheet: BuildSheet, book: Book, named: str | Path, asked: str | None, by: str) -> Chosen:
    # Only a path given as one is opened: what a build sheet writes is always an id.
    found = load_recipe(named) if isinstance(named, Path) else book.find(named)
    wrong = unmet(found.file.applies.when, sheet.traits)
    if wrong:
        traits = ", ".join(_trait(sheet, trait) for trait in wrong)
        wants = "; ".join(
            f"{_title(trait)}: {' or '.join(found.file.applies.when[trait])}" for trait in wrong
        )
        raise UserError(
            f"recipe {found.file.id}", f"it is not written for this engine ({traits})",
            f"it is for {wants}", "Leave the recipe open, or name one that fits",
        )  # fmt: skip
    if asked is not None and asked != found.file.school:
        raise UserError(
            f"recipe {found.file.id}", f"it belongs to the school '{found.file.school}'",
            f"'{asked}' was asked for, and schools are never mixed",
            "Name another recipe or take the school back",
        )  # fmt: skip
    others = [r for r in _all_fitting(sheet, book) if r.file.id != found.file.id]
    aside = [f"{r.file.id} fits too; {found.file.id} was named." for r in others]
    return _chosen(sheet, found, f"{by} {found.file.applies.why}", found.file.school_why, aside)


def _all_fitting(sheet: BuildSheet, book: Book) -> list[Recipe]:
    return [r for r in book.recipes if not unmet(r.file.applies.when, sheet.traits)]


def _fitting(sheet: BuildSheet, book: Book, asked: str | None, by: str) -> Chosen:
    all_fit = _all_fitting(sheet, book)
    fit = [r for r in all_fit if asked in (None, r.file.school)]
    if not fit:
        raise _nothing_fits(sheet, all_fit, asked)
    top = max(r.file.applies.priority for r in fit)
    first = [r for r in fit if r.file.applies.priority == top]
    own = [r for r in first if not r.shipped] or first  # a shop's own goes before ours
    schools, default = {r.file.school for r in own}, book.shared.schools
    why_school = ""
    if asked is not None:
        why_school = f"'{asked}' is asked for by {by}. "
    elif len(schools) > 1:
        own = [r for r in own if r.file.school == default.default]
        why_school = f"{default.default_why} "
    if len(own) > 1:
        names = " and ".join(r.file.id for r in own)
        raise UserError(
            "recipe", f"{names} fit this engine equally well", "one recipe is wanted",
            "Raise the priority of one under [applies], or name the recipe",
        )  # fmt: skip
    (won,) = own
    aside = [_why_aside(r, won, asked) for r in all_fit if r is not won]
    aside += [_by_cam(sheet, r) for r in book.recipes if _only_cam(sheet, r)]
    return _chosen(sheet, won, won.file.applies.why, why_school + won.file.school_why, aside)


def _nothing_fits(sheet: BuildSheet, fit: Sequence[Recipe], asked: str | None) -> UserError:
    traits = ", ".join(_trait(sheet, trait) for trait in _DECIDING)
    if asked is None:
        return UserError(
            "recipe", f"none is written for this engine ({traits})", "one recipe is wanted",
            "Copy the nearest one and write your own",
        )  # fmt: skip
    names = ", ".join(f"{r.file.id} ({r.file.school})" for r in fit) or "none"
    return UserError(
        "recipe", f"none of the school '{asked}' is written for this engine ({traits})",
        f"recipes that fit are {names}", "Take the school back, or write a recipe of your own",
    )  # fmt: skip


def _why_aside(other: Recipe, won: Recipe, asked: str | None) -> str:
    if asked not in (None, other.file.school):
        return f"{other.file.id} fits too, but is of the school '{other.file.school}'."
    if other.file.applies.priority < won.file.applies.priority:
        return f"{other.file.id} fits too; {won.file.id} goes first: {_lower(won.file.applies.why)}"
    if other.file.school != won.file.school:
        return f"{other.file.id} fits too; it is the other school, '{other.file.school}'."
    return f"{other.file.id} fits too; the shop's own recipe goes before the shipped one."


def _only_cam(sheet: BuildSheet, recipe: Recipe) -> bool:
    return unmet(recipe.file.applies.when, sheet.traits) == ["cam_contact"]


def _by_cam(sheet: BuildSheet, recipe: Recipe) -> str:
    cams = ", ".join(recipe.file.applies.when["cam_contact"])
    return f"{recipe.file.id} is set aside by the cam: it is for {cams}, not {_cam(sheet)}."


def _chosen(
    sheet: BuildSheet, recipe: Recipe, why: str, school_why: str, aside: Sequence[str]
) -> Chosen:
    file = recipe.file
    by = ", ".join(_trait(sheet, trait) for trait in file.applies.when)
    choice = Choice(
        file.id, file.title, file.version, recipe.sha256, file.owner, file.school, school_why,
        f"{why} By the build sheet: {by}.", tuple(aside),
    )  # fmt: skip
    return Chosen(recipe, choice)


def _trait(sheet: BuildSheet, trait: str) -> str:
    word = sheet.traits[trait]
    return _WORDS.get(trait, "{}").format(word) if word not in ("yes", "no") else _yes(trait, word)


def _yes(trait: str, word: str) -> str:
    return trait if word == "yes" else f"not {trait}"


def _title(trait: str) -> str:
    return trait.replace("cam_contact", "cam").replace("_", " ")


def _cam(sheet: BuildSheet) -> str:
    return sheet.traits["cam_contact"]


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
