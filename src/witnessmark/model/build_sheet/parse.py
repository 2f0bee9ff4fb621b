"""Read a build sheet from its text, and name every fault at once."""

import hashlib
import re
import tomllib
from typing import Any

from pydantic import ValidationError

from witnessmark.errors import UserError, UserErrors
from witnessmark.model.build_sheet.assume import fill, noted
from witnessmark.model.build_sheet.counts import miscounts, unsettled
from witnessmark.model.build_sheet.faults import faults
from witnessmark.model.build_sheet.paths import model_in
from witnessmark.model.build_sheet.sheet import BuildSheet, Origin

_PLACE = re.compile(r"^(.*) \(at (?:line (\d+), column (\d+)|end of document)\)$", re.DOTALL)


def parse_build(text: str, where: str) -> BuildSheet:
    """Read a build sheet. Raises UserErrors with every fault found, each with its place.

    `where` names the source in those faults, as a person knows it ("heron.toml"). In a list,
    values are counted from 1 as journals and cylinders are: rod_bearings.clearances[3].
    """
    raw = _toml(text, where)
    for name, info in BuildSheet.model_fields.items():
        if model_in(info.annotation) is not None and info.is_required():
            raw.setdefault(name, {})
    used = fill(raw)
    wrong: list[UserError] = []
    sheet = None
    try:
        sheet = BuildSheet.model_validate(raw)
    except ValidationError as error:
        wrong += faults(error, where)
    wrong += [*unsettled(raw, where), *miscounts(raw, where)]
    if sheet is None or wrong:
        raise UserErrors(wrong)
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return sheet.from_text(Origin(digest, noted(used)))


def _toml(text: str, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except RecursionError:
        raise _not_toml(where, "brackets within brackets without end") from None
    except ValueError as error:
        place = _PLACE.match(str(error))
        said, line, column = place.groups() if place else (str(error), None, None)
        at = f", line {line}, column {column}" if line else ", at its end" if place else ""
        raise _not_toml(where + at, f"it cannot be read ({said[:1].lower()}{said[1:]})") from None


def _not_toml(where: str, found: str) -> UserErrors:
    remedy = 'Put words and values with a unit in quotes, one key a line: bore = "84.00 mm"'
    return UserErrors([UserError(where, found, "a TOML file is wanted", remedy)])
