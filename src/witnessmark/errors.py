"""Everything that can go wrong and be put right by a person.

    WitnessmarkError
    └── UserError          one fault: where, found, wanted, what to do
        └── UserErrors     several faults found in one pass

Anything else that is raised is our own bug and shows a trace.
"""

from collections.abc import Sequence


def ended(text: str) -> str:
    """The text with a full stop, unless it already ends a sentence."""
    return text if text.endswith((".", "?", "!")) else f"{text}."


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

    @property
    def told(self) -> str:
        """What was found and what was wanted, as a sentence or two."""
        joint = ". " if self.wanted[:1].isupper() else "; "
        return ended(self.found + joint + self.wanted)

    def __str__(self) -> str:
        """One line: where, what was found, what was wanted, what to do."""
        return f"{self.where}: {self.told} {self.remedy}"


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
