"""Build sheets as text: the demo engine, and the least that is still a sheet."""

from pathlib import Path

import pytest

from witnessmark.errors import UserErrors
from witnessmark.model.build import parse_build

HERON = (Path(__file__).parents[2] / "demo" / "heron.toml").read_text(encoding="utf-8")

LEAST = """
[identity]
serial = "X-1"
[layout]
arrangement = "V"
cylinders = 8
firing_order = [1, 4, 7, 2, 8, 5, 3, 6]
bore = "4.10 in"
stroke = "3.30 in"
redline = "6500 rpm"
[crank]
end_float = "0.006 in"
[rings]
top_material = "ductile iron, moly-faced"
[cams]
follower = "flat tappet"
[induction]
kind = "natural"
[fuel]
kind = "petrol"
[oil]
grade = "SAE 30"
[use]
kind = "road"
"""


def changed(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert text.count(old) == 1, f"{old!r} is there {text.count(old)} times"
        text = text.replace(old, new)
    return text


def faults(text):
    with pytest.raises(UserErrors) as caught:
        parse_build(text, "x.toml")
    return caught.value.faults


def only_fault(text):
    found = faults(text)
    assert len(found) == 1, "\n".join(map(str, found))
    return found[0]
