"""What no single key can tell: lists as long as the engine is, and one of several keys."""

from collections.abc import Iterator, Mapping
from typing import Any

from witnessmark.errors import UserError
from witnessmark.model.build_sheet.assume import MOST, at

_PER_CYLINDER = ("rings.top_gaps", "rings.second_gaps", "bores.piston_to_wall")
_PER_JOURNAL = ("main_bearings", "rod_bearings", "cam_bearings")


def unsettled(raw: Mapping[str, Any], where: str) -> Iterator[UserError]:
    """An error where one of several keys is wanted and none is there; `raw` after filling."""
    oil = at(raw, "oil")
    if isinstance(oil, dict) and "grade" not in oil and not {"kv40", "kv100"} <= oil.keys():
        yield UserError(
            f"{where}, oil", "neither its grade nor its viscosities are said",
            "the grade, or kv40 and kv100, is wanted", 'Write it as grade = "15W-40", under [oil]',
        )  # fmt: skip


def miscounts(raw: Mapping[str, Any], where: str) -> Iterator[UserError]:
    """One error for each list that does not fit the engine; `raw` after filling."""
    cylinders = at(raw, "layout.cylinders")
    if _count(cylinders):
        for path in _PER_CYLINDER:
            yield from _wrong_length(raw, where, path, cylinders, "cylinder", "layout.cylinders")
        yield from _firing_order(at(raw, "layout.firing_order"), cylinders, where)
    for section in _PER_JOURNAL:
        count = at(raw, f"{section}.count")
        if _count(count):
            path = f"{section}.clearances"
            yield from _wrong_length(raw, where, path, count, "journal", f"{section}.count")


def _wrong_length(
    raw: Mapping[str, Any], where: str, path: str, count: int, each: str, key: str
) -> Iterator[UserError]:
    values = at(raw, path)
    if not isinstance(values, list) or len(values) == count:
        return
    yield UserError(
        f"{where}, {path}",
        f"{len(values)} {_plural('value', len(values))}",
        f"{count} {_plural('is', count)} wanted, one for each {each}",
        f"Measure the ones that are missing, or put {key} right"
        if len(values) < count
        else f"Take out what is too much, or put {key} right",
    )


def _firing_order(order: object, cylinders: int, where: str) -> Iterator[UserError]:
    if not isinstance(order, list) or not all(_count(n) for n in order):
        return
    wanted = set(range(1, cylinders + 1))
    if len(order) == cylinders and set(order) == wanted:
        return
    missing = ", ".join(map(str, sorted(wanted - set(order))))
    strange = ", ".join(map(str, sorted(set(order) - wanted)))
    twice = ", ".join(str(n) for n in sorted(wanted) if order.count(n) > 1)
    said = [
        f"{words} {numbers}"
        for words, numbers in (
            ("it leaves out", missing), ("it names twice", twice),
            ("it has no such cylinder as", strange),
        )
        if numbers
    ]  # fmt: skip
    yield UserError(
        f"{where}, layout.firing_order",
        f"{'-'.join(map(str, order))}: {'; '.join(said)}",
        f"every cylinder from 1 to {cylinders} is wanted once",
        "Write it as [1, 2, 4, 5, 3]",
    )


def _count(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST


def _plural(word: str, count: int) -> str:
    return word if count == 1 else {"is": "are"}.get(word, word + "s")
