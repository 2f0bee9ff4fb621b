"""A recipe's numbers and sentences, filled in for one engine."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from witnessmark.errors import UserError
from witnessmark.model.authority import Authority
from witnessmark.model.build import BuildSheet
from witnessmark.model.build_sheet.paths import field_at
from witnessmark.model.number import Number, Saying, fits
from witnessmark.model.plan import Limit, Line
from witnessmark.model.recipe import Part
from witnessmark.model.said import Said, slots
from witnessmark.units import Quantity


@dataclass(frozen=True)
class Filling:
    """One engine, one file's owner, and the numbers any sentence around may use.

    Faults are gathered in `faults`, shared by every copy, so that all are named at once.
    """

    sheet: BuildSheet
    where: str
    owner: str
    around: Mapping[str, Limit] = field(default_factory=dict)
    faults: list[UserError] = field(default_factory=list)

    def beside(self, more: Mapping[str, Limit]) -> "Filling":
        """The same, with more numbers around."""
        return replace(self, around={**self.around, **more})

    def of(self, owner: str, where: str) -> "Filling":
        """The same, for a file of another owner."""
        return replace(self, owner=owner, where=where)

    def applies(self, when: Mapping[str, tuple[str, ...]]) -> bool:
        """Whether this engine meets the conditions."""
        return fits(when, self.sheet.traits)

    def limit(self, number: Number) -> Limit | None:
        """The number for this engine; None, with a fault, when the sheet lacks what it needs."""
        value, low, high = number.quantities()
        if not number.of:
            return Limit(value, low, high, number.why, number.authority(self.owner))
        base = self._base(number)
        if base is None:
            return None
        value, low, high = (Quantity(q.value * base.value, base.kind) for q in (value, low, high))
        authority = number.authority(self.owner, self._note(number))
        return Limit(value, low, high, number.why, authority)

    def limits(self, numbers: Mapping[str, Number]) -> dict[str, Limit]:
        """The numbers that apply to this engine."""
        made = {n: self.limit(number) for n, number in numbers.items() if self.applies(number.when)}
        return {name: limit for name, limit in made.items() if limit is not None}

    def table(self, part: Part) -> dict[str, Limit]:
        """The numbers of a table (ceilings, evidence, step numbers) that apply."""
        return self.limits(part.present())

    def lines(self, sayings: tuple[Saying, ...]) -> tuple[Line, ...]:
        """The sentences that apply, each with its own numbers."""
        return tuple(self.line(saying) for saying in sayings if self.applies(saying.when))

    def line(self, saying: Saying) -> Line:
        """One sentence with its own numbers."""
        own = self.limits(saying.numbers)
        return self.said(saying.said, saying.why, saying.authority(self.owner), own)

    def said(self, text: str, why: str, authority: Authority, own: Mapping[str, Limit]) -> Line:
        """A sentence whose slots are its own numbers, numbers around it, or the build sheet."""
        known = {**self.around, **own}
        values: dict[str, Quantity | str] = {}
        for slot in slots(text):
            found = self._sheet_slot(slot, text) if "." in slot else _value(known.get(slot))
            if found is None:
                self._fault(text, f"{{{slot}}} has no number on this engine",
                            "each slot needs a number that applies wherever the sentence does",
                            "Give sentence and number the same 'when'")  # fmt: skip
                found = "?"
            values[slot] = found
        assumed = [_title(slot) for slot in values if "." in slot and self._assumed(slot, values)]
        if assumed:
            note = f"assumed, not on the build sheet: {', '.join(assumed)}"
            cite = f"{authority.cite}; {note}" if authority.cite else note
            authority = replace(authority, cite=cite)
        return Line(Said(text, values), why, authority, own)

    def _assumed(self, path: str, values: Mapping[str, Quantity | str]) -> bool:
        """Whether a value shown was put in by us; one that is not known says so itself."""
        said = values[path] not in ("?", "not said", "not measured", "not known")
        return said and self.sheet.assumed(path)

    def _sheet_slot(self, path: str, text: str) -> Quantity | str:
        try:
            return self.sheet.slot(path)
        except KeyError:
            self._fault(text, f"{{{path}}} is nothing a build sheet says",
                        "a slot with a dot names a value of the build sheet",
                        "Correct the spelling, as in {layout.redline}")  # fmt: skip
            return "?"

    def _base(self, number: Number) -> Quantity | None:
        """The value of the sheet a share is taken of."""
        base = self._sheet_slot(number.of, f"{number.value} of {number.of}")
        if isinstance(base, Quantity) and base.kind is number.kind:
            return base
        if base != "?":
            self.faults.append(
                UserError(
                    f"build sheet, {number.of}", f"it is {_words(base)}",
                    f"the recipe sets a limit at {number.value} of it ({_lower(number.why)})",
                    "Write it on the build sheet, or name a recipe that does without",
                )
            )  # fmt: skip
        return None

    def _note(self, number: Number) -> str:
        assumed = ", which is assumed" if self.sheet.assumed(number.of) else ""
        return f"{number.value} of the {_title(number.of)} on the build sheet{assumed}"

    def _fault(self, text: str, found: str, wanted: str, remedy: str) -> None:
        self.faults.append(UserError(f"{self.where}, '{text[:50]}'", found, wanted, remedy))


def _title(path: str) -> str:
    return field_at(BuildSheet, path).title or path


def _value(limit: Limit | None) -> Quantity | None:
    return None if limit is None else limit.value


def _words(base: Quantity | str) -> str:
    return base if isinstance(base, str) else f"a {base.kind.value}"


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:].rstrip(".")
