"""Everything that can go wrong and be put right by a person.

    WitnessmarkError
    └── UserError          one fault: where, found, wanted, what to do
        └── UserErrors     several faults found in one pass

Anything else that is raised is our own bug and shows a trace.
"""

from collections.abc import Sequence


class WitnessmarkError(Exception):
    """Base of every error this package raises on purpose."""


class UserError(WitnessmarkError):
    """A fault its reader can put right, in four parts."""

    def __init__(self, where: str, found: str, wanted: str, remedy: str) -> None:
        """Keep the four parts; each is a phrase without a full stop."""
        self.where = where
        self.found = found
        self.wanted = wanted
        self.remedy = remedy
        super().__init__(where, found, wanted, remedy)

    @property
    def faults(self) -> tuple["UserError", ...]:
        """The single faults this error stands for."""
        return (self,)

    def __str__(self) -> str:
        """One line: where, what was found, what was wanted, what to do."""
        return f"{self.where}: {self.found}; {self.wanted}. {self.remedy}"


class UserErrors(UserError):  # noqa: N818 - the plural is the point
    """Several faults found in one pass, so that they can be mended in one."""

    def __init__(self, faults: Sequence[UserError]) -> None:
        """Take at least one fault."""
        self._faults = tuple(faults)
        first = self._faults[0]
        super().__init__(first.where, first.found, first.wanted, first.remedy)

    @property
    def faults(self) -> tuple[UserError, ...]:
        """The single faults, in the order they were found."""
        return self._faults

    def __str__(self) -> str:
        """One line a fault."""
        return "\n".join(str(fault) for fault in self._faults)
