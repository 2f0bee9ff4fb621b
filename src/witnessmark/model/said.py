"""A sentence with numbers in it, kept apart from the units it will be read in."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from witnessmark.units import Preferences, Quantity, show

Values = Mapping[str, Quantity | str]
_SLOT = re.compile(r"\{([a-z0-9_.]+)\}")


@dataclass(frozen=True)
class Said:
    """Text with {slots}; each slot holds a quantity (shown in the reader's unit) or a word."""

    text: str
    values: Values = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse a slot nobody fills: a hole in a safety text is our bug."""
        missing = [slot for slot in slots(self.text) if slot not in self.values]
        if missing:
            raise KeyError(f"{self.text!r} has no value for {', '.join(missing)}")

    def read(self, prefer: Preferences) -> str:
        """The sentence as this person reads it."""

        def fill(match: re.Match[str]) -> str:
            value = self.values[match[1]]
            return value if isinstance(value, str) else show(value, prefer)

        return _SLOT.sub(fill, self.text)


def slots(text: str) -> list[str]:
    """Names of the {slots} in a text, in order."""
    return _SLOT.findall(text)
