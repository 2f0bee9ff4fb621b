"""What the reference says of each key: how it is written, and what stands in for it."""

from datetime import date

from pydantic.fields import FieldInfo

from witnessmark.model.build_sheet.assume import Filling, fillings_of
from witnessmark.model.build_sheet.paths import (
    field_at,
    is_list,
    measure_of,
    model_in,
    types_of,
    words_of,
)
from witnessmark.model.build_sheet.sheet import BuildSheet


def what_it_is(info: FieldInfo) -> str:
    """Kind of value: "clearance, a list", "one of `push`, `pull`", "text"."""
    measure, words, types = measure_of(info), words_of(info), types_of(info)
    if measure is not None and model_in(info.annotation) is None:
        kind = measure.kind.value
    elif words:
        kind = "one of " + ", ".join(f"`{word}`" for word in words)
    elif model_in(info.annotation) is not None:
        kind = "table"
    else:
        kind = "whole number" if int in types else "day" if date in types else "text"
    return f"{kind}, a list" if is_list(info) else kind


def toml(value: object) -> str:
    """A value as it is written in a TOML file."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml(one) for one in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)


def if_missing(path: str) -> str:
    """What happens when a sheet leaves a key out, in one or more sentences."""
    told = [_told(filling) for filling in fillings_of(path)]
    info = field_at(BuildSheet, path)
    if not told:
        within = " in this table" if path.count(".") > 1 else ""
        usual = f": then {info.default}" if isinstance(info.default, str) else ""
        return f"Required{within}." if info.is_required() else f"May be left out{usual}."
    if info.is_required() and all(f.when or f.unless for f in fillings_of(path)):
        told.append("Else required.")
    return " ".join(told)


def _told(filling: Filling) -> str:
    condition = _condition(filling)
    if filling.open:
        return f"Stays '{filling.open}'{condition}: {filling.why}."
    if filling.of:
        plus = f" + {filling.plus:g}" if filling.plus else ""
        times = f"{filling.times:g} × " if filling.times != 1 else ""
        value = f"{times}{filling.of}{plus}"
    else:
        value = str(filling.value)
    nominal = ", nominal, for planning only" if filling.planning else ""
    return f"Assumed {value}{nominal}{condition}: {filling.why} ({filling.source.value})."


def _condition(filling: Filling) -> str:
    says = [f"{path} is {' or '.join(words)}" for path, words in filling.when.items()]
    says += [f"{path} is not {' or '.join(words)}" for path, words in filling.unless.items()]
    return f" where {' and '.join(says)}" if says else ""
