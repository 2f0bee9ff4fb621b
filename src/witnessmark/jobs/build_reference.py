"""Write the reference of the build sheet: every key on one page, and the JSON Schema.

    python -m witnessmark.jobs.build_reference docs/reference

Both are made from the model and the book, so that no page can say what the reader does not do.
"""

import json
import sys
from pathlib import Path

from pydantic.fields import FieldInfo

from witnessmark.jobs.build import build_schema
from witnessmark.model.build_rules import DERIVED, BuildRules, Window, default_rules
from witnessmark.model.build_sheet.fields import UNSAID
from witnessmark.model.build_sheet.paths import example_of, field_at, keys, model_in
from witnessmark.model.build_sheet.sheet import BuildSheet
from witnessmark.model.build_sheet.words import if_missing, toml, what_it_is

PAGE, SCHEMA = "build-sheet.md", "build-sheet.schema.json"

_HEAD = f"""# Build sheet

One TOML file says what was built. `witnessmark build check FILE` reads it and names every fault
at once. The [JSON Schema](build-sheet.schema.json) says the same for editors and other programs.

- A value with a unit stands in quotes, as you think of it: `"0.0022 in"`, `"55 µm"`, `"75 psi"`.
  The decimal is a dot.
- Pressures are gauge pressures. Clearances and piston-to-wall are on the diameter.
- Lists run from journal 1 or cylinder 1. A fault in `clearances[3]` is in the third value.
- What was not measured is left out, or written as {", ".join(f'`"{word}"`' for word in UNSAID)}.
  The plan then says so. Where a number is assumed in its place, the plan prints that number.
- `oil` needs `grade`, or `kv40` and `kv100` from the oil's data sheet.
- Words may be written in any capitals.

This page is made from the model by `python -m witnessmark.jobs.build_reference docs/reference`.
"""

_RULES = """
## What a sheet is held against

These are the rules of the book (`build-rules.toml`, owner "{owner}", version {version}). The
engine's own limits, where the sheet gives them, beat them. A value outside, and two keys that
cannot both be true, are named as contradictions. The first window that fits an engine is used.

| value | where | least | most | who says so | why |
|---|---|---|---|---|---|
"""


def build_reference() -> str:
    """The reference page, in Markdown."""
    parts = [_HEAD]
    for name, info in BuildSheet.model_fields.items():
        model = model_in(info.annotation)
        assert model is not None, name
        intro = f"\n## [{name}]\n\n{(model.__doc__ or '').strip()}\n"
        if name == "gearing":
            intro += f"\n{if_missing(name)}\n"
        rows = [_row(f"{name}.{path}", field) for path, field in keys(model)]
        parts.append(
            f"{intro}\n| key | what | kind | written | if missing |\n|---|---|---|---|---|\n"
        )
        parts.append("".join(rows))
    rules = default_rules()
    parts.append(_RULES.format(owner=rules.owner, version=rules.version))
    parts += [_window(window, rules) for window in rules.windows]
    parts.append("\n| number | value | range | who says so | why |\n|---|---|---|---|---|\n")
    parts += [
        f"| {name} | {number.value} | {' to '.join(number.range)} "
        f"| {number.authority(rules.owner)} | {number.why} |\n"
        for name, number in rules.numbers.items()
    ]
    return "".join(parts)


def schema_text() -> str:
    """The JSON Schema as it is published."""
    return json.dumps(build_schema(), indent=2, ensure_ascii=False) + "\n"


def write_reference(folder: Path) -> None:
    """Write the page and the schema into a folder."""
    (folder / PAGE).write_text(build_reference(), encoding="utf-8")
    (folder / SCHEMA).write_text(schema_text(), encoding="utf-8")


def _row(path: str, info: FieldInfo) -> str:
    key = path.partition(".")[2]
    title = (info.title or "").replace("|", "\\|")
    return (
        f"| `{key}` | {title} | {what_it_is(info)} | `{toml(example_of(info))}` "
        f"| {if_missing(path)} |\n"
    )


def _window(window: Window, rules: BuildRules) -> str:
    where = "; ".join(f"{trait}: {' or '.join(words)}" for trait, words in window.when.items())
    per = f" of {field_at(BuildSheet, window.per).title}" if window.per else ""
    name = window.item if window.path in DERIVED else f"`{window.path}`"
    own = [f"own: `{key.partition('.')[2]}`" for key in (window.own_least, window.own_most) if key]
    value = "<br>".join([name, *own])
    return (
        f"| {value} | {where} | {window.least}{per} | {window.most}{per} "
        f"| {window.authority(rules.owner)} | {window.why} |\n"
    )


if __name__ == "__main__":
    write_reference(Path(sys.argv[1]))
