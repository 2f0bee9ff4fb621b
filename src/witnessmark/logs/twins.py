"""Several logs of one engine: each wanted once."""

from collections.abc import Sequence

from witnessmark.errors import UserError
from witnessmark.model.log import Log


def refuse_twin(log: Log, others: Sequence[Log]) -> None:
    """Raise UserError if the log is, byte for byte, one of the others."""
    twin = next((each for each in others if each.source.sha256 == log.source.sha256), None)
    if twin is not None:
        raise UserError(
            log.source.name, f"it is the same log as {twin.source.name}",
            "each log is wanted once: twice the same teaches nothing more",
            "Take one of them out",
        )  # fmt: skip
