"""What two keys of a build sheet say of each other. Each check is silent on a sound sheet."""

from collections.abc import Callable, Iterator
from itertools import pairwise

from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.build import BuildSheet
from witnessmark.model.build_rules import BuildRules
from witnessmark.model.plan import Limit, Line
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

_LIMITS = (
    ("crank.end_float_min", "crank.end_float_max"),
    ("main_bearings.clearance_min", "main_bearings.clearance_max"),
    ("rod_bearings.clearance_min", "rod_bearings.clearance_max"),
    ("cam_bearings.clearance_min", "cam_bearings.clearance_max"),
    ("bores.piston_to_wall_min", "bores.piston_to_wall_max"),
)


def own(sheet: BuildSheet) -> Authority:
    """The sheet itself as the one who set a limit."""
    return Authority(sheet.identity.shop or "The builder", SourceKind.BUILD_SHEET)


def redline_too_low(sheet: BuildSheet, asked: Limit) -> Iterator[Line]:
    """The recipe asks for no engine speed over the redline."""
    if sheet.layout.redline < asked.value.value:
        said = Said(
            "The redline is {layout.redline}, but this recipe asks for {asked}",
            {"layout.redline": sheet.slot("layout.redline"), "asked": asked.value},
        )
        yield Line(said, asked.why, asked.authority)


def _limits_turned_round(sheet: BuildSheet, _: BuildRules) -> Iterator[Line]:
    """Of two limits the least is the smaller."""
    for least, most in _LIMITS:
        low, high = sheet.value(least), sheet.value(most)
        if isinstance(low, float) and isinstance(high, float) and low >= high:
            said = f"{least} is {{{least}}}, {most} is {{{most}}}: nothing can lie between"
            yield _line(sheet, said, "A limit that nothing can meet judges nothing.", least, most)


def _idle_over_redline(sheet: BuildSheet, _: BuildRules) -> Iterator[Line]:
    """The engine idles below its redline."""
    if sheet.layout.idle_speed >= sheet.layout.redline:
        said = "Idle speed is {layout.idle_speed}, redline {layout.redline}"
        why = "One of the two has the wrong unit."
        yield _line(sheet, said, why, "layout.idle_speed", "layout.redline")


def _second_gap_under_top(sheet: BuildSheet, rules: BuildRules) -> Iterator[Line]:
    """The second ring's gap is no smaller than the top ring's.

    A limit of the engine's own for the second ring settles it: then it is held to that alone.
    """
    rule = rules.limit("second_over_top")
    if sheet.rings.second_gap_min is not None or sheet.rings.gapless == "second":
        return
    gaps = zip(sheet.rings.top_gaps or (), sheet.rings.second_gaps or (), strict=False)
    for number, (top, second) in enumerate(gaps, start=1):
        if second < top * rule.value.value:
            said = Said(
                f"Second ring gap, cylinder {number}, is {{second}}, the top gap {{top}}",
                {"second": Quantity(second, Kind.CLEARANCE), "top": Quantity(top, Kind.CLEARANCE)},
            )
            hint = " If this engine's own limit is another, write it as rings.second_gap_min."
            yield Line(said, rule.why + hint, rule.authority)


def _boost_without_blower(sheet: BuildSheet, _: BuildRules) -> Iterator[Line]:
    """Boost and a turbo feed are said only of an engine that has what makes them."""
    kind = sheet.induction.kind
    if kind == "natural" and sheet.induction.minimum_boost is not None:
        said = "The sheet gives a least boost of {induction.minimum_boost} to an engine without any"
        why = "Rings, ceilings and recipe all hang on whether there is boost."
        yield _line(sheet, said, why, "induction.minimum_boost")
    if kind != "turbocharged" and sheet.feeds.turbo is not None:
        said = "The sheet gives a turbo feed of {feeds.turbo} to an engine without a turbo"
        why = "Rings, ceilings and recipe all hang on whether there is boost."
        yield _line(sheet, said, why, "feeds.turbo")


def _mirrored_cylinders(sheet: BuildSheet, _: BuildRules) -> Iterator[Line]:
    """In an even-firing inline four or six, pistons that move together fire a turn apart.

    Such a crank is a mirror image end to end: 1 rises with the last, 2 with the last but one.
    A four-stroke fires them one turn, that is half the order, apart. Source: geometry.
    """
    layout = sheet.layout
    count, order = layout.cylinders, layout.firing_order
    if layout.arrangement != "inline" or count not in (4, 6) or layout.firing != "even":
        return
    half = count // 2
    wrong = [
        (n, count + 1 - n)
        for n in range(1, half + 1)
        if (order.index(n) - order.index(count + 1 - n)) % count != half
    ]
    if wrong:
        pairs = " and ".join(f"{a} with {b}" for a, b in wrong)
        said = f"Firing order {{layout.firing_order}}: {pairs} would not fire a turn apart"
        why = (
            "Pistons that rise together fire a turn apart. If this crank is made otherwise, "
            'write firing = "uneven".'
        )
        yield _line(sheet, said, why, "layout.firing_order")


def _gears_not_falling(sheet: BuildSheet, _: BuildRules) -> Iterator[Line]:
    """Each gear is longer than the one below it."""
    gears = sheet.gearing.gears if sheet.gearing else ()
    for number, (low, high) in enumerate(pairwise(gears), start=1):
        if high >= low:
            said = Said(
                f"Gear {number + 1} is {{high}}, gear {number} is {{low}}",
                {"high": Quantity(high, Kind.RATIO), "low": Quantity(low, Kind.RATIO)},
            )
            why = "Ratios fall from first gear up, or a log is read in the wrong gear."
            yield Line(said, why, _self(sheet))


def _tyre_sizes_differ(sheet: BuildSheet, rules: BuildRules) -> Iterator[Line]:
    """Tyre size and measured diameter agree."""
    gearing, rule = sheet.gearing, rules.limit("tyre_mismatch")
    if gearing is None or gearing.tyre_diameter is None or gearing.size_diameter is None:
        return
    if abs(gearing.tyre_diameter / gearing.size_diameter - 1) > rule.value.value:
        said = Said(
            "Tyre {size} has a diameter of {moulded}, the sheet says {measured}",
            {
                "size": gearing.tyre or "",
                "moulded": Quantity(gearing.size_diameter, Kind.LENGTH),
                "measured": Quantity(gearing.tyre_diameter, Kind.LENGTH),
            },
        )
        yield Line(said, rule.why, rule.authority)


def _jets_never_open(sheet: BuildSheet, _: BuildRules) -> Iterator[Line]:
    """Piston jets open below the relief setting."""
    jets = sheet.feeds.piston_jets
    opening = jets.opening_pressure if jets else None
    if opening is not None and opening >= sheet.oil_pump.relief_pressure:
        said = (
            "Piston jets open at {feeds.piston_jets.opening_pressure}, but the relief valve "
            "opens at {oil_pump.relief_pressure}"
        )
        why = "The relief valve keeps the pressure below what opens the jets: pistons run hot."
        yield _line(
            sheet, said, why, "feeds.piston_jets.opening_pressure", "oil_pump.relief_pressure"
        )


def _play_eats_travel(sheet: BuildSheet, _: BuildRules) -> Iterator[Line]:
    """The release bearing travels farther than its free play."""
    travel, play = sheet.clutch.release_travel, sheet.clutch.free_play
    if travel is not None and play is not None and play >= travel:
        said = "Clutch free play is {clutch.free_play}, its whole travel {clutch.release_travel}"
        why = "The clutch would never release."
        yield _line(sheet, said, why, "clutch.free_play", "clutch.release_travel")


def _words_that_clash(sheet: BuildSheet, _: BuildRules) -> Iterator[Line]:
    """Followers, lash, fuel and oil are said in words that go together."""
    cams, fuel, oil = sheet.cams, sheet.fuel, sheet.oil
    if cams.follower == "flat tappet" and cams.arrangement == "overhead":
        why = "Under an overhead cam it is a bucket or a slider; flat tappets get their own recipe."
        yield _line(sheet, "Flat tappets under an overhead cam", why)
    if cams.adjustment == "hydraulic" and (cams.lash_intake or cams.lash_exhaust):
        why = "Hydraulic followers take up their own lash; one of the two is wrong."
        yield _line(sheet, "Hydraulic followers with a lash", why)
    if fuel.kind == "diesel" and fuel.octane is not None:
        yield _line(sheet, "Diesel with an octane of {fuel.octane}", "One of the two is wrong.",
                    "fuel.octane")  # fmt: skip
    if oil.kv40 is not None and oil.kv100 is not None and oil.kv40 <= oil.kv100:
        said = "Oil of {oil.kv40} at 40 °C and {oil.kv100} at 100 °C"
        yield _line(sheet, said, "Oil thins as it warms; the two are turned round.",
                    "oil.kv40", "oil.kv100")  # fmt: skip


def _line(sheet: BuildSheet, text: str, why: str, *paths: str) -> Line:
    return Line(Said(text, {path: sheet.slot(path) for path in paths}), why, _self(sheet))


def _self(sheet: BuildSheet) -> Authority:
    return Authority(own(sheet).owner, SourceKind.BUILD_SHEET, "the sheet against itself")


RELATIONS: tuple[Callable[[BuildSheet, BuildRules], Iterator[Line]], ...] = (
    _limits_turned_round,
    _idle_over_redline,
    _second_gap_under_top,
    _boost_without_blower,
    _mirrored_cylinders,
    _gears_not_falling,
    _tyre_sizes_differ,
    _jets_never_open,
    _play_eats_travel,
    _words_that_clash,
)
