import pytest

from tests.made import limit
from tests.model.sheets import HERON, LEAST, changed
from witnessmark.checks.sheet.build import contradictions
from witnessmark.model.authority import SourceKind
from witnessmark.model.build import parse_build
from witnessmark.model.build_rules import default_rules
from witnessmark.units import Kind, Preferences

METRIC = Preferences(clearance="mm")


def lines(text, asked=None):
    return list(contradictions(parse_build(text, "x.toml"), default_rules(), asked))


def said(text, asked=None):
    return [line.said.read(METRIC) for line in lines(text, asked)]


@pytest.mark.parametrize("sheet", [HERON, LEAST])
def test_a_sound_sheet_contradicts_nothing(sheet):
    assert said(sheet, limit("4500 rpm", Kind.ROTATIONAL_SPEED)) == []


GAPS = '["0.46 mm", "0.46 mm", "0.47 mm", "0.45 mm", "0.46 mm"]'
TIGHT = '["0.46 mm", "0.41 mm", "0.47 mm", "0.45 mm", "0.46 mm"]'

ONE_LINE = [
    # Geometry and slips of the pen.
    ('rod_length = "149.0 mm"', 'rod_length = "14.9 mm"', "Rod length is 14.9"),
    ("compression_ratio = 9.2", "compression_ratio = 0.92", "Compression ratio is 0.92"),
    ("compression_ratio = 9.2", "compression_ratio = 14.5", "at most 13.00"),
    ('redline = "7000 rpm"', 'redline = "11000 rpm"', "Mean piston speed"),
    ('idle_speed = "950 rpm"', 'idle_speed = "95 rpm"', "Idle speed is 95 rpm"),
    ('journal_diameter = "58.00 mm"', 'journal_diameter = "100 mm"', "Main journal diameter"),
    # Bearings and crank, each journal by its number.
    ('"0.0021 in", "0.0020 in"', '"-0.0001 in", "0.0020 in"', "Rod bearing 1 is -0.003 mm: the j"),
    ('"0.0021 in", "0.0020 in"', '"0 in", "0.0020 in"', "Rod bearing 1 is 0.000 mm: the j"),
    ('"0.0023 in"', '"0.0230 in"', "Main bearing 3 is 0.584 mm; at most 0.116 mm"),
    ('"60 µm"', '"60 mm"', "Cam bearing 5 is 60.000 mm"),
    ('end_float = "0.15 mm"', 'end_float = "0.26 mm"', "Crank end float is 0.260 mm; at most"),
    ('end_float = "0.15 mm"', 'end_float = "0.07 mm"', "Crank end float is 0.070 mm; at least"),
    # Rings and bores.
    (GAPS, TIGHT, "Top ring gap, cylinder 2, is 0.410 mm; at least 0.420 mm"),
    ('"0.52 mm"', '"0.45 mm"', "Second ring gap, cylinder 2, is 0.450 mm, the top gap 0.460 mm"),
    ('"72 µm"', '"-2 µm"', "Piston-to-wall, cylinder 2 is -0.002 mm: the piston is bigger"),
    ('rpk = "0.24 µm"', 'rpk = "24 µm"', "Bore finish Rpk is 24.00 µm"),
    # Cams, fuel, oil.
    ('lash_intake = "0.22 mm"', 'lash_intake = "0.22 in"', "Intake lash is 5.588 mm"),
    ('adjustment = "solid"', 'adjustment = "hydraulic"', "Hydraulic followers with a lash"),
    ('follower = "bucket"', 'follower = "flat tappet"', "Flat tappets under an overhead cam"),
    ('minimum_boost = "0.45 bar"', 'minimum_boost = "45 bar"', "Least boost is 4500 kPa"),
    ('ethanol = "0 %"', 'ethanol = "85 %"', "Ethanol content is 85 %"),
    ('capacity = "5.2 L"', 'capacity = "52 L"', "Oil capacity is 52.00 L"),
    ('grade = "15W-40"', 'kv40 = "14 cSt"\nkv100 = "110 cSt"', "Oil of 14.0 mm²/s at 40 °C"),
    ('relief_pressure = "75 psi"', 'relief_pressure = "75 bar"', "Oil pressure relief is 7,500"),
    ('opening_pressure = "2.0 bar"', 'opening_pressure = "6 bar"', "Piston jets open at 600 kPa"),
    # Clutch and gearing.
    ('free_play = "2.0 mm"', 'free_play = "0 mm"', "Clutch free play is 0 mm: the release"),
    ('free_play = "2.0 mm"', 'free_play = "8 mm"', "Clutch free play is 8 mm, its whole"),
    ("1.37, 1.02", "1.02, 1.37", "Gear 4 is 1.37, gear 3 is 1.02"),
    ('tyre = "225/45R17"', 'tyre = "225/45R17"\ntyre_diameter = "680 mm"', "Tyre 225/45R17 has"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "start"), ONE_LINE)
def test_one_contradiction_is_named(old, new, start):
    found = said(changed(HERON, (old, new)))
    assert len(found) == 1, found
    assert start.replace("4500", "4,500") in found[0]


def test_all_of_them_at_once():
    text = changed(
        HERON,
        (GAPS, TIGHT),
        ('"0.0021 in", "0.0020 in"', '"-0.0001 in", "0.0020 in"'),
        ('end_float = "0.15 mm"', 'end_float = "0.35 mm"'),
        ('free_play = "2.0 mm"', 'free_play = "0 mm"'),
    )
    found = said(text, limit("7500 rpm", Kind.ROTATIONAL_SPEED))
    for start in ("Top ring gap, cylinder 2", "Rod bearing 1", "Crank end float", "Clutch",
                  "The redline is 7,000 rpm, but this recipe asks for 7,500 rpm"):  # fmt: skip
        assert any(line.startswith(start) for line in found), (start, found)
    assert len(found) == 5


def test_redline_under_the_highest_speed_asked_for():
    asked = limit("4500 rpm", Kind.ROTATIONAL_SPEED)
    slow = changed(HERON, ('redline = "7000 rpm"', 'redline = "4400 rpm"'))
    (line,) = lines(slow, asked)
    assert line.authority is asked.authority
    assert lines(slow) == []
    assert said(changed(HERON, ('redline = "7000 rpm"', 'redline = "4500 rpm"')), asked) == []


# Ring makers' common practice, gap over bore: 0.0050 boosted road, 0.0060 boosted race.
@pytest.mark.parametrize(
    ("induction", "use", "gap", "sound"),
    [
        ("turbocharged", "road", "0.421 mm", True),  # 0.00501 of 84 mm
        ("turbocharged", "road", "0.419 mm", False),
        ("supercharged", "road", "0.419 mm", False),
        ("turbocharged", "race only", "0.500 mm", False),
        ("turbocharged", "race only", "0.505 mm", True),
        ("natural", "road", "0.336 mm", True),  # 0.0040 of 84 mm
        ("natural", "road", "0.200 mm", False),
    ],
)
def test_rings_against_boost_and_use(induction, use, gap, sound):
    text = changed(
        HERON,
        (GAPS, str([gap] * 5).replace("'", '"')),
        ('second_gaps = ["0.51 mm", "0.52 mm", "0.51 mm", "0.50 mm", "0.51 mm"]\n', ""),
        ('kind = "turbocharged"\nminimum_boost = "0.45 bar"', f'kind = "{induction}"'),
        ('turbo = "1.0 mm"\n', ""),
        ('kind = "road"', f'kind = "{use}"'),
    )
    assert len(said(text)) == (0 if sound else 5)


def test_the_engines_own_limit_beats_the_rule():
    own = changed(HERON, (GAPS, f'{TIGHT}\ntop_gap_min = "0.40 mm"'))
    assert said(own) == []
    (line,) = lines(changed(HERON, (GAPS, f'{GAPS}\ntop_gap_min = "0.455 mm"')))
    assert line.authority.owner == "Tarn Street Engines"
    assert line.authority.source is SourceKind.BUILD_SHEET
    assert line.said.read(METRIC).startswith("Top ring gap, cylinder 4")


def test_a_line_tells_how_to_give_the_engines_own_limit():
    (line,) = lines(changed(HERON, (GAPS, TIGHT)))
    assert line.why.endswith("write it as rings.top_gap_min.")


def test_the_engines_own_limit_for_the_second_ring_settles_it():
    text = changed(HERON, ('"0.52 mm"', '"0.45 mm"'), (GAPS, f'{GAPS}\nsecond_gap_min = "0.44 mm"'))
    assert said(text) == []


def test_an_assumed_limit_is_the_rules_not_the_shops():
    text = changed(HERON, ('end_float_max = "0.25 mm"\n', ""),
                   ('end_float = "0.15 mm"', 'end_float = "0.40 mm"'))  # fmt: skip
    (line,) = lines(text)
    assert line.authority.owner == "Witnessmark default"
    assert line.authority.source is SourceKind.COMMON_PRACTICE


@pytest.mark.parametrize("end", ["0.004 in", "0.10 mm", "0.010 in", "0.25 mm", "0.254 mm"])
def test_common_end_float_limits_in_either_unit_are_inside(end):
    # Common practice: 0.004 to 0.010 in, which the metric trade writes 0.10 to 0.25 mm.
    assert said(changed(LEAST, ('"0.006 in"', f'"{end}"'))) == []


def test_a_hair_over_the_limit_is_over_it():
    (line,) = said(changed(LEAST, ('"0.006 in"', '"0.2541 mm"')))
    assert line.startswith("Crank end float")


def test_limits_turned_round():
    text = changed(HERON, ('end_float_min = "0.08 mm"', 'end_float_min = "0.30 mm"'))
    assert any("nothing can lie between" in line for line in said(text))


def test_boost_and_turbo_feed_without_a_turbo():
    text = changed(HERON, ('kind = "turbocharged"', 'kind = "natural"'))
    assert said(text) == [
        "The sheet gives a least boost of 45 kPa to an engine without any",
        "The sheet gives a turbo feed of 1 mm to an engine without a turbo",
    ]


# Firing orders of even-firing inline engines as the trade knows them (from memory).
@pytest.mark.parametrize(
    ("order", "sound"),
    [
        ([1, 3, 4, 2], True),
        ([1, 2, 4, 3], True),
        ([1, 5, 3, 6, 2, 4], True),
        ([1, 4, 2, 6, 3, 5], True),
        ([1, 4, 3, 2], False),
        ([1, 2, 3, 4], False),
        ([1, 2, 3, 4, 5, 6], False),
    ],
)
def test_firing_orders_of_inline_engines(order, sound):
    text = changed(
        LEAST,
        ('arrangement = "V"', 'arrangement = "inline"'),
        ("cylinders = 8", f"cylinders = {len(order)}"),
        ("[1, 4, 7, 2, 8, 5, 3, 6]", str(order)),
    )
    assert (said(text) == []) == sound
    uneven = changed(text, ('bore = "4.10 in"', 'bore = "4.10 in"\nfiring = "uneven"'))
    assert said(uneven) == []


def test_diesel_with_octane():
    text = changed(HERON, ('kind = "petrol"', 'kind = "diesel"'), ("compression_ratio = 9.2", ""))
    assert said(text) == ["Diesel with an octane of 98 RON"]


def test_what_is_left_out_is_never_contradicted():
    text = changed(HERON, (f"top_gaps = {GAPS}\n", ""), ('rod_length = "149.0 mm"\n', ""))
    assert said(text) == []


def test_every_line_says_why_and_who():
    text = changed(HERON, *[(old, new) for old, new, _ in ONE_LINE[:1]])
    for line in lines(text):
        assert line.why
        assert line.authority.owner


def test_a_shops_own_rules_are_used():
    rules = default_rules()
    ours = rules.windows[0].model_copy(update={"path": "layout.bore", "most": "80 mm"})
    tight = rules.model_copy(update={"windows": (ours,), "owner": "Tarn Street Engines"})
    (line,) = contradictions(parse_build(HERON, "x.toml"), tight, None)
    assert line.said.read(METRIC) == "Bore is 84 mm; at most 80 mm is wanted"
    assert line.authority.owner == "Tarn Street Engines"
