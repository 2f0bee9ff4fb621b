"""What many tests need and takes most of a second is worked out once a run.

A key is everything that goes in, as bytes: what differs in a single number is worked out anew. The
tests of these very functions take them from their own modules, and so the real ones.
"""

import pickle
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from functools import wraps
from types import ModuleType
from typing import Any

import pytest

from witnessmark.jobs import drift, film, film_basis, plan


def _books() -> Hashable:
    """The film book in force: some tests put a smaller one in its place."""
    return film.film_book, film_basis.film_book


def _remembered(work: Callable[..., Any]) -> Callable[..., Any]:
    kept: dict[Hashable, Any] = {}

    @wraps(work)
    def once(*given: Any) -> Any:
        key = _books(), pickle.dumps(given)
        if key not in kept:
            kept[key] = work(*given)
        found = kept[key]
        return dict(found) if isinstance(found, dict) else found  # nobody changes another's

    return once


SLOW: tuple[tuple[ModuleType, str], ...] = (
    (plan, "make_table"), (film, "ceiling_films"), (drift, "quick_reference"),
)  # fmt: skip


@contextmanager
def worked_out_once() -> Iterator[None]:
    """Inside, the slow parts of a plan and of a comparison remember what they found."""
    with pytest.MonkeyPatch.context() as patch:
        for home, name in SLOW:
            patch.setattr(home, name, _remembered(getattr(home, name)))
        yield
