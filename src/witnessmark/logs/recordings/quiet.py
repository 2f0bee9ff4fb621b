"""Keeping what a compiled reader prints about its own end off the user's screen."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from tempfile import TemporaryFile
from threading import Lock

from polars.exceptions import PanicException

_ONE = Lock()  # the stream is the whole program's


@contextmanager
def panics_unprinted() -> Iterator[None]:
    """Around a read that may panic: its pages of trace are dropped, the exception goes on.

    What anybody else wrote to the error stream meanwhile is passed on afterwards.
    """
    with _ONE, TemporaryFile() as held:
        real = os.dup(2)
        os.dup2(held.fileno(), 2)
        panicked = False
        try:
            yield
        except PanicException:
            panicked = True
            raise
        finally:
            os.dup2(real, 2)
            held.seek(0)
            if not panicked and (said := held.read()):
                os.write(real, said)
            os.close(real)
