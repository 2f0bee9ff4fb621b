"""Read a build sheet from a file, and publish what one may say."""

from pathlib import Path
from typing import Any

from witnessmark.jobs.text_file import read_text
from witnessmark.model.build import BuildSheet, parse_build
from witnessmark.model.build_sheet.assume import may_be_left_out
from witnessmark.model.build_sheet.fields import UNSAID
from witnessmark.model.build_sheet.paths import keys
from witnessmark.model.build_sheet.words import if_missing


def load_build(path: Path) -> BuildSheet:
    """The build sheet in a TOML file.

    Raises UserError if the file cannot be read as text, UserErrors with every fault in it.
    """
    return parse_build(read_text(path, "a build sheet (TOML)"), path.name)


def build_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of a build sheet, dates as text. It tells form, not sense.

    Each value carries its kind as "x-kind", and in its description what stands in for it when
    it is missing. Words are listed in our spelling; the reader takes any capitals.
    """
    drawn = BuildSheet.model_json_schema()
    schema: dict[str, Any] = _inline(drawn, drawn.pop("$defs"))
    for path, info in reversed(list(keys(BuildSheet))):  # a table after its keys
        *sections, key = path.split(".")
        table = schema
        for section in sections:
            table = table["properties"][section]
        written = table["properties"][key]
        written["description"] = if_missing(path)
        if may_be_left_out(path, info):
            table["required"] = [name for name in table.get("required", []) if name != key]
            written["anyOf"] = [*_choices(written), {"enum": list(UNSAID)}]
    schema["properties"]["oil"]["anyOf"] = [
        {"required": ["grade"]},
        {"required": ["kv40", "kv100"]},
    ]
    properties = schema["properties"]
    schema["required"] = [
        name for name in schema["required"] if properties[name].get("required") or name == "oil"
    ]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "Witnessmark build sheet",
    }


def _inline(part: Any, tables: dict[str, Any]) -> Any:
    """The schema with every table written out where it stands; TOML knows no null."""
    if isinstance(part, list):
        return [_inline(one, tables) for one in part]
    if not isinstance(part, dict):
        return part
    if "$ref" in part:
        name = part["$ref"].rpartition("/")[2]
        rest = {key: value for key, value in part.items() if key not in ("$ref", "default")}
        return _inline(tables[name], tables) | rest
    inlined = {key: _inline(value, tables) for key, value in part.items() if key != "default"}
    choices = [one for one in inlined.get("anyOf", []) if one != {"type": "null"}]
    if len(choices) == 1:
        del inlined["anyOf"]
        return choices[0] | inlined
    return inlined


def _choices(written: dict[str, Any]) -> list[dict[str, Any]]:
    """Take what a value may be out of its own schema, to be one of several choices."""
    about = ("title", "description", "examples", "x-kind")
    return [{key: written.pop(key) for key in list(written) if key not in about}]
