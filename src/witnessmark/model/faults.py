"""What pydantic found wrong with a file, as faults a person can put right."""

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from witnessmark.errors import UserError, UserErrors

M = TypeVar("M", bound=BaseModel)
_OWN = "witnessmark"
_PLAIN = {
    "string_type": "text in quotes is wanted",
    "bool_type": "true or false is wanted",
    "bool_parsing": "true or false is wanted",
    "int_type": "a whole number is wanted",
    "int_parsing": "a whole number is wanted",
    "list_type": "a list in [ ] is wanted",
    "tuple_type": "a list in [ ] is wanted",
    "dict_type": "a table is wanted",
    "model_type": "a table is wanted",
    "string_too_short": "some words are wanted",
}


def fault(found: str, wanted: str, remedy: str) -> PydanticCustomError:
    """An error to raise inside a validator; it keeps the three parts a person needs."""
    parts = {"found": found, "wanted": wanted, "remedy": remedy}
    return PydanticCustomError(_OWN, "{found}; {wanted}. {remedy}", parts)


def read_as(model: type[M], data: Mapping[str, Any], where: str) -> M:
    """Read parsed TOML as a model.

    Raises UserErrors naming every fault with its file and its place in the file.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        faults = [_one(e, model, data, where) for e in error.errors(include_url=False)]
        raise UserErrors(faults) from None


def place(loc: Sequence[int | str], data: object) -> str:
    """A place in a file in words: "phases 'first-heat', ceilings, engine_speed"."""
    words: list[str] = []
    here: Any = data
    for key in loc:
        here = _step(here, key)
        if isinstance(key, int):
            words[-1:] = [f"{words[-1] if words else 'item'} {_name(here, key)}"]
        elif key != "[key]":
            words.append(key)
    return ", ".join(words)


def _step(here: object, key: int | str) -> Any:
    if isinstance(here, Mapping):
        return here.get(key)
    if isinstance(here, list) and isinstance(key, int) and key < len(here):
        return here[key]
    return None


def _name(item: object, index: int) -> str:
    if isinstance(item, Mapping):
        for key in ("id", "title", "said"):
            if isinstance(item.get(key), str):
                return f"'{item[key][:40]}'"
    return f"no. {index + 1}"


def _one(
    error: ErrorDetails, model: type[BaseModel], data: Mapping[str, Any], where: str
) -> UserError:
    loc = tuple(error["loc"])
    spot = f"{where}, {place(loc, data)}" if loc else where
    kind, context = error["type"], error.get("ctx", {})
    if kind == _OWN:
        return UserError(spot, context["found"], context["wanted"], context["remedy"])
    if kind == "missing":
        return UserError(spot, "nothing is written here", "it is needed", f"Add '{loc[-1]}'")
    if kind == "extra_forbidden":
        known = ", ".join(_known(model, loc[:-1])) or "listed in the reference"
        return UserError(
            spot, f"'{loc[-1]}' is not a name used here", f"known names are {known}",
            "Correct the spelling or take it out",
        )  # fmt: skip
    if kind in ("literal_error", "enum"):
        wanted = f"{context.get('expected', 'another word')} is wanted"
        return UserError(spot, f"{error['input']!r} is written", wanted, "Choose one of these")
    wanted = _PLAIN.get(kind, error["msg"][:1].lower() + error["msg"][1:])
    return UserError(spot, f"{error['input']!r:.60} is written", wanted, "Correct it")


def _known(model: type[BaseModel], loc: Sequence[int | str]) -> list[str]:
    """Names allowed at a place, found by walking the model along the place."""
    here: Any = model
    for key in loc:
        if isinstance(key, int):
            continue
        fields = getattr(here, "model_fields", {})
        found = next((f for n, f in fields.items() if key in (n, f.alias)), None)
        if found is None:
            continue  # the key of a free table
        here = _inner(found.annotation)
    fields = getattr(here, "model_fields", {})
    return [f.alias or n for n, f in fields.items()]


def _inner(annotation: Any) -> Any:
    """The model inside list[Model], dict[str, Model], Model | None or Annotated[Model, ...]."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in getattr(annotation, "__args__", ()):
        found = _inner(part)
        if found is not None:
            return found
    return None
