"""JSON files that carry their own hash: nobody changes one without its showing."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from witnessmark.errors import UserError
from witnessmark.jobs.text_file import read_text


@dataclass(frozen=True)
class Seal:
    """What a kind of sealed file says of itself: format, key of its content, how to remake it."""

    format: str  # "witnessmark plan 1"
    key: str  # "plan"
    noun: str  # "a frozen plan"
    remedy: str  # "Make the plan again from the build sheet"
    newer: str = ""  # a format for content that an older program must not take for the first

    def closed(self, body: object, newer: bool = False) -> dict[str, Any]:
        """JSON values with their own SHA-256 beside them; `newer`: in the newer format."""
        named = self.newer if newer else self.format
        return {"format": named, "sha256": self.hash(body, named), self.key: body}

    def opened(self, sealed: Mapping[str, Any], where: str) -> Any:
        """The JSON values of a sealed file's content.

        Raises UserError if it is not of this kind, or if anything in it was changed since.
        """
        named = sealed.get("format") if isinstance(sealed, Mapping) else None
        if not isinstance(named, str) or named not in filter(None, (self.format, self.newer)):
            raise UserError(
                where, f"this is not {self.noun}", f"a file made as '{self.format}' is wanted",
                self.remedy,
            )  # fmt: skip
        body = sealed.get(self.key)
        whole = set(sealed) == {"format", "sha256", self.key}
        if not whole or self.hash(body, named) != sealed.get("sha256"):
            raise UserError(
                where, "it was changed after it was made",
                "its hash no longer matches its content",
                f"Use the file as it was made, or {self._remade}",
            )  # fmt: skip
        return body

    def hash(self, body: object, named: str = "") -> str:
        """SHA-256 of JSON values in one fixed order, as hexadecimal."""
        text = json.dumps(body, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
        return hashlib.sha256(
            f"{named or self.format}\n{text}".encode("utf-8", "surrogatepass")
        ).hexdigest()

    def parsed(self, text: str, where: str) -> Any:
        """As `opened`, from text. Raises UserError also if it is no JSON."""
        try:
            data = json.loads(text.removeprefix("\ufeff"))
        except (ValueError, RecursionError):
            raise UserError(
                where, "this cannot be read as JSON", f"{self.noun} is wanted",
                f"Take the file as it was saved, or {self._remade}",
            ) from None  # fmt: skip
        return self.opened(data, where)

    def loaded(self, path: Path, what: str) -> Any:
        """As `parsed`, from a file. Raises UserError also if it cannot be read."""
        return self.parsed(read_text(path, what), path.name)

    def not_whole(self, where: str, what: str) -> UserError:
        """The fault of a file whose content is not all there."""
        return UserError(
            where, f"it does not hold a whole {self.key} ({what})",
            f"a {self.key} made by this version is wanted", self.remedy,
        )  # fmt: skip

    @property
    def _remade(self) -> str:
        return self.remedy[0].lower() + self.remedy[1:]
