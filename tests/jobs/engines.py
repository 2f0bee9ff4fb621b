"""Build sheets of every sort of engine, made from the demo sheet by changing its words."""

from itertools import product

from tests.model.sheets import HERON, changed
from witnessmark.model.build import BuildSheet, parse_build

USE = ("road", "race only")
INDUCTION = ("natural", "turbocharged", "supercharged")
FOLLOWER = ("roller", "bucket", "slider", "flat tappet")
FUEL = ("petrol", "ethanol blend", "diesel")
RING = ("steel, nitrided", "steel, chrome-faced", "ductile iron, moly-faced", "cast iron")
SORTS = tuple(product(USE, INDUCTION, FOLLOWER, FUEL, RING))


def engine(
    use: str = "road",
    induction: str = "turbocharged",
    follower: str = "bucket",
    fuel: str = "petrol",
    ring: str = "steel, nitrided",
    *more: tuple[str, str],
) -> BuildSheet:
    return parse_build(engine_text(use, induction, follower, fuel, ring, *more), "test.toml")


def engine_text(
    use: str, induction: str, follower: str, fuel: str, ring: str, *more: tuple[str, str]
) -> str:
    changes = [
        ('[use]\nkind = "road"', f'[use]\nkind = "{use}"'),
        ('kind = "turbocharged"', f'kind = "{induction}"'),
        ('follower = "bucket"', f'follower = "{follower}"'),
        ('kind = "petrol"', f'kind = "{fuel}"'),
        ('top_material = "steel, nitrided"', f'top_material = "{ring}"'),
    ]
    if induction == "natural":
        changes += [('minimum_boost = "0.45 bar"\n', "")]
    if induction != "turbocharged":
        changes += [('turbo = "1.0 mm"\n', "")]
    if use == "race only":  # the demo's gaps are the builder's choice for it
        changes += [("[rings]\n", '[rings]\ntop_gap_min = "0.40 mm"\n')]
    if fuel == "diesel":
        changes += [
            ('octane = "98 RON"\n', ""),
            ("compression_ratio = 9.2", "compression_ratio = 18"),
        ]
    if fuel == "ethanol blend":
        changes += [('ethanol = "0 %"', 'ethanol = "30 %"')]
    if follower == "flat tappet":
        changes += [('arrangement = "overhead"', 'arrangement = "in block"')]
    return changed(HERON, *changes, *more)
