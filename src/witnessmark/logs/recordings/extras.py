"""Libraries that come with an extra: what to install when one is not there."""

from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from logging import CRITICAL, getLogger

from witnessmark.errors import UserError


def missing(library: str) -> bool:
    """Whether a library is not installed."""
    try:
        return find_spec(library) is None
    except ValueError:  # so says a library that was taken out while we run
        return True


def missing_extra(extra: str, what: str) -> UserError:
    """What to say when an extra is wanted and not there."""
    return UserError(
        what, "the part that reads it is not installed", f"the extra '{extra}' is wanted",
        f"Install it: pip install 'witnessmark[{extra}]'; or export the log as CSV",
    )  # fmt: skip


@contextmanager
def wanted_for(extra: str, what: str) -> Iterator[None]:
    """An import of what an extra brings; UserError naming the extra when it is not installed."""
    try:
        yield
    except ModuleNotFoundError:
        raise missing_extra(extra, what) from None


@contextmanager
def quiet(name: str) -> Iterator[None]:
    """A library's own remarks kept off the technician's screen."""
    logger = getLogger(name)
    before = logger.level
    logger.setLevel(CRITICAL + 1)
    try:
        yield
    finally:
        logger.setLevel(before)
