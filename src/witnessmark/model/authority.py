"""Who says so: every number a user sees names its owner and the kind of source behind it."""

from dataclasses import dataclass
from enum import StrEnum


class SourceKind(StrEnum):
    """How far a number can be trusted before this engine's own evidence."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    MEMORY = "memory"
    BUILD_SHEET = "build sheet"
    TUNER = "tuner's answer"
    DERIVED = "derived"
    ASSUMED = "assumed"


@dataclass(frozen=True)
class Authority:
    """Owner ("Tarn Street Engines", "Witnessmark default"), kind of source, and citation."""

    owner: str
    source: SourceKind
    cite: str = ""

    def __str__(self) -> str:
        """Owner, then source kind, then citation if there is one."""
        return f"{self.owner}, {self.source.value}" + (f": {self.cite}" if self.cite else "")
