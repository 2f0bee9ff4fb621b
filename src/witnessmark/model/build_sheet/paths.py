"""Find a key of the sheet by its dotted path, and what its annotation says of it."""

from collections.abc import Iterator
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from witnessmark.model.build_sheet.fields import Measure


def field_at(root: type[BaseModel], path: str) -> FieldInfo:
    """The field of a dotted path; KeyError if the sheet has no such key."""
    model: type[BaseModel] | None = root
    info = None
    for key in path.split("."):
        if model is None or key not in model.model_fields:
            raise KeyError(f"a build sheet has no '{path}'")
        info = model.model_fields[key]
        model = model_in(info.annotation)
    assert info is not None
    return info


def title_at(root: type[BaseModel], path: str) -> str:
    """Words for a key, "Main bearings, clearances"."""
    section, _, key = path.partition(".")
    name = section.replace("_", " ").capitalize()
    return f"{name}, {field_at(root, path).title}" if key else name


def measure_of(info: FieldInfo) -> Measure | None:
    """What a field measures, each of its values if it is a list; None for a word or a count."""
    return next((m for m in (*info.metadata, *_within(info.annotation)) if _measure(m)), None)


def model_in(annotation: Any) -> type[BaseModel] | None:
    """The table a field holds, or holds a list of; None if it holds none."""
    return next((m for m in _within(annotation) if _model(m)), None)


def words_of(info: FieldInfo) -> tuple[str, ...]:
    """The words a field may be; empty if it is no choice of words."""
    return tuple(word for word in _within(info.annotation) if isinstance(word, str))


def example_of(info: FieldInfo) -> object:
    """A value as a person writes it in the sheet."""
    measure = measure_of(info)
    if info.examples:
        return info.examples[0]
    if measure is not None:
        return float(measure.example) if measure.plain else measure.example
    return next(iter(words_of(info)), None)


def is_list(info: FieldInfo) -> bool:
    """Whether a field holds a list."""
    return any(get_origin(part) is tuple for part in _within(info.annotation))


def keys(model: type[BaseModel], before: str = "") -> Iterator[tuple[str, FieldInfo]]:
    """Every key of the sheet with its dotted path, in the sheet's order.

    A table that is demanded is no key of its own; one that may be left out is, before its keys.
    """
    for key, info in model.model_fields.items():
        inner = model_in(info.annotation)
        table = inner is not None and not is_list(info)
        if not table or not info.is_required():
            yield before + key, info
        if inner is not None and table:
            yield from keys(inner, f"{before}{key}.")


def types_of(info: FieldInfo) -> set[type]:
    """The plain types a field is made of."""
    return {part for part in _within(info.annotation) if isinstance(part, type)}


def _within(annotation: Any) -> Iterator[Any]:
    yield annotation
    for part in get_args(annotation):
        yield from _within(part)


def _measure(part: object) -> bool:
    return isinstance(part, Measure)


def _model(part: object) -> bool:
    return isinstance(part, type) and issubclass(part, BaseModel)
